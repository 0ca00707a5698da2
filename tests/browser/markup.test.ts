import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { VIEWS } from '../parts/board-hashes.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'

/** What somebody would write into a name, a note or a file, so that a page of the shop runs it. */
const MARKUP = '<img src=x onerror="window.ran=1"><script>window.ran=1</script>'
/** Texts that people, nodes and files bring; ids and words of our own that code reads stay as they are. */
const BROUGHT = /^(title|titles|name|note|text|label|toWhom|by|who|summary|sentence)$/
/** Under these stands a word of ours or somebody's sentence: only what has a space was written by somebody. */
const PERHAPS = /^(why|reason|detail)$/

let shop: BoardBrowser | undefined
beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(() => shop?.close())

/** The same answer with the markup before every text that was brought. */
function tainted(value: unknown, key = ''): unknown {
  if (typeof value === 'string') {
    const brought = BROUGHT.test(key) || (PERHAPS.test(key) && value.includes(' '))
    return brought ? `${MARKUP}${value}` : value
  }
  if (Array.isArray(value)) return value.map((item: unknown) => tainted(item, key))
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, tainted(v, k)]))
}

describe('names, notes and rows of files', () => {
  it('MARKUP-1 are shown as they were written, on every page, and nothing of them runs', async (context) => {
    requireProgram(context, 'chromium')
    if (!shop) throw new Error('there is no browser')
    const board = await shop.open()
    await board.page.route('**/api/v1/**', async (route) => {
      const answer = await route.fetch().catch(() => null)
      if (!answer?.headers()['content-type']?.includes('json')) return route.continue()
      return route.fulfill({ response: answer, json: tainted(await answer.json()) })
    })
    await board.page.reload()
    let shown = 0
    for (const hash of VIEWS) {
      await board.goTo(hash)
      const found = await board.page.evaluate<{ ran: boolean; made: number; text: boolean }>(`({
        ran: 'ran' in window,
        made: document.querySelectorAll('img[src="x"], [onerror], body script:not([src])').length,
        text: document.body.innerText.includes('<img src=x'),
      })`)
      expect({ hash, ran: found.ran, made: found.made }).toEqual({ hash, ran: false, made: 0 })
      if (found.text) shown++
    }
    // A law over pages that show none of it would prove nothing.
    expect(shown).toBeGreaterThan(VIEWS.length / 2)
    expect(board.complaints.filter((c) => /Content Security Policy|TypeError/.test(c))).toEqual([])
    await board.close()
  }, 180_000)
})
