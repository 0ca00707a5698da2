import axe, { type AxeResults } from 'axe-core'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { BoardView } from '../../services/core/model/views.ts'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import type { BoardServer } from '../parts/board-server.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { inventedBoard, openBoard, SHOP_NOW_MS, weekendBoard } from '../parts/invented-shop.ts'

/** From a small phone to a wall. */
const SIZES = [
  [320, 640],
  [390, 844],
  [1280, 800],
  [2560, 1440],
] as const
const BOARDS: Readonly<Record<string, BoardView>> = {
  night: inventedBoard(SHOP_NOW_MS),
  weekend: weekendBoard(),
  open: openBoard(),
}

/** Run in the page: tests are compiled without the names of a browser, so these are texts. */
const SIDEWAYS = 'document.documentElement.scrollWidth - document.documentElement.clientWidth'
const FOCUSED = 'document.activeElement.textContent'
/** Letters of a strip or its hours that lie outside their drawing, or over others of the same drawing. */
const CLASHES = `[...document.querySelectorAll('.strip, .axis')].flatMap((svg) => {
  const frame = svg.getBoundingClientRect()
  const boxes = [...svg.querySelectorAll('text')].map((t) => ({ text: t.textContent, box: t.getBoundingClientRect() }))
  const outside = boxes.filter(({ box }) => box.left < frame.left - 1 || box.right > frame.right + 1 || box.bottom > frame.bottom + 4)
  const over = boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) =>
    Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left) > 1 &&
    Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top) > 0.35 * a.box.height,
  ).map((b) => a.text + ' / ' + b.text))
  return [...outside.map((o) => 'outside: ' + o.text), ...over]
})`
/** Targets lower than a thumb needs (WCAG 2.2, 2.5.8: 24 CSS px). */
const SMALL_TARGETS = `[...document.querySelectorAll('.machine button, .machine a')]
  .filter((el) => el.getBoundingClientRect().height < 24 && !el.closest('p'))
  .map((el) => el.textContent)`

let shop: BoardBrowser

beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

const showing =
  (board: BoardView) =>
  ({ state }: BoardServer): void => {
    state.board = structuredClone(board)
  }

/** Serious and critical findings of axe on the page as it stands. */
async function findings(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const { passes, violations } = await page.evaluate<AxeResults>('axe.run()')
  expect(passes.map((p) => p.id)).toContain('color-contrast')
  return violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)
}

async function unfoldAll(page: Page): Promise<void> {
  // Of the keys of several inks one is open at a time: what was unfolded once is not unfolded again.
  const unfolded = new Set<string>()
  const folded = page.locator('.machine [aria-expanded="false"]')
  for (let at = 0; at < (await folded.count());) {
    const name = (await folded.nth(at).textContent()) ?? ''
    if (unfolded.has(name)) at++
    else await folded.nth(at).click()
    unfolded.add(name)
  }
  await page.locator('.legend summary').click()
}

async function tabTo(page: Page, text: RegExp): Promise<void> {
  for (let i = 0; i < 80; i++) {
    await page.keyboard.press('Tab')
    if (text.test(await page.evaluate<string>(FOCUSED))) return
  }
  throw new Error(`no Tab led to ${text.source}`)
}

describe('the night on every screen', () => {
  for (const scheme of ['light', 'dark'] as const) {
    for (const [width, height] of SIZES) {
      it(`NIGHT-VIEW-1 every state, unfolded: axe finds nothing, nothing sideways, ${scheme}, ${width} px wide`, async () => {
        const board = await shop.open({ scheme, width, height })
        await board.page.waitForSelector('.strip')
        await unfoldAll(board.page)
        expect({
          found: await findings(board.page),
          over: await board.page.evaluate<number>(SIDEWAYS),
          small: await board.page.evaluate<string[]>(SMALL_TARGETS),
          said: board.complaints,
        }).toEqual({ found: [], over: 0, small: [], said: [] })
        await board.close()
      }, 120_000)
    }
  }

  for (const [width, height] of SIZES) {
    it(`NIGHT-VIEW-5 by night, over a weekend and by day no letters of a strip lie over others, ${width} px wide`, async () => {
      for (const [name, shown] of Object.entries(BOARDS)) {
        const board = await shop.open({ width, height, prepare: showing(shown) })
        await board.page.waitForSelector('.strip')
        const clashes = await board.page.evaluate<string[]>(CLASHES)
        const over = await board.page.evaluate<number>(SIDEWAYS)
        expect({ name, clashes, over }).toEqual({ name, clashes: [], over: 0 })
        await board.close()
      }
    }, 60_000)
  }

  it('NIGHT-VIEW-2 the night stands under the strip in words, and what it rests on', async () => {
    const board = await shop.open()
    const rows = board.page.locator('.machine')
    const nights = await rows.locator('.night').allTextContents()
    expect(nights[0]).toContain('As things stand the white ink passes its limit about 22:50')
    expect(nights[1]).toContain('This assumes that it cleaned itself at 18:10')
    expect(nights[2]).toContain('Nobody can tell the night')
    expect(nights[4]).toContain('Likely to hold till 08:30')
    expect(nights[5]).toMatch(/Only 3\sdays measured so far/)
    await board.close()
  })

  it('NIGHT-VIEW-3 trouble for today is called so while the shop is open', async () => {
    const board = await shop.open({ prepare: showing(openBoard()) })
    expect(await board.page.locator('.machine .standing-word').allTextContents()).toEqual([
      'Today',
      'Well',
      'Well',
    ])
    await board.close()
  })

  it('NIGHT-VIEW-4 who cannot see the strip hears it, and can go through the hours behind and ahead', async () => {
    const board = await shop.open()
    const row = board.page.locator('.machine', { hasText: 'Sheet A3, window' })
    expect(await row.getByRole('img').getAttribute('aria-label')).toContain(
      'Expected at the next opening, 08:30: humidity',
    )
    const ahead = row.getByRole('table', { name: 'Sheet A3, window, the hours ahead as expected' })
    expect(await ahead.getByRole('row').count()).toBe(12)
    expect(await ahead.getByRole('row').last().textContent()).toBe(
      '08:3045, from 42 to 489, from 6 to 1241, from 32 to 5033, from 32 to 35',
    )
    await board.close()
  })
})

describe('why', () => {
  it('WHY-1 it unfolds in place with the rule, the numbers, the limit and where that comes from, for a well machine too', async () => {
    const board = await shop.open()
    const row = board.page.locator('.machine', { hasText: 'Sheet A3, window' })
    const button = row.getByRole('button', { name: /^Why/ })
    expect(await button.getAttribute('aria-expanded')).toBe('false')
    await button.click()
    const panel = row.getByRole('group', { name: /^Why/ })
    expect(await panel.textContent()).toContain('Ink counts as drying when')
    expect(await panel.textContent()).toMatch(/13\skPa h of 60/)
    expect(await panel.textContent()).toContain('The limit: Starting value (common practice, no source).')
    await board.close()
  })

  it('WHY-2 with the keyboard alone: open, read, Escape closes, and the focus never leaves its button', async () => {
    const board = await shop.open()
    const { page } = board
    await tabTo(page, /^Why\?/)
    await page.keyboard.press('Enter')
    const panel = page.locator('.reason')
    await panel.waitFor()
    expect(await page.evaluate<string>(FOCUSED)).toMatch(/^Fold up/)
    expect(await panel.textContent()).toContain('What happened')
    await page.keyboard.press('Escape')
    await panel.waitFor({ state: 'detached' })
    expect(await page.evaluate<string>(FOCUSED)).toMatch(/^Why\?/)
    await board.close()
  })
})

describe('say what you did', () => {
  it('SAY-VIEW-1 with the keyboard alone: an act is said, noted aloud, and the focus is back on the button', async () => {
    const board = await shop.open()
    const { page, server } = board
    await tabTo(page, /^Say what you did at Roll 60, left bench/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^I cleaned the heads/)
    await page.keyboard.press('Enter')
    await page.getByRole('status').filter({ hasText: 'Noted: the heads were cleaned.' }).waitFor()
    expect(server.state.sent.map(({ call, body }) => ({ call, body }))).toEqual([
      { call: 'POST /machines/roll/care', body: { care: 'cleaned', channelGroupIds: [] } },
    ])
    expect(await page.evaluate<string>(FOCUSED)).toMatch(/^Say what you did at Roll 60, left bench/)
    expect(await page.locator('.say-list').count()).toBe(0)
    await board.close()
  })

  it('SAY-VIEW-2 Escape closes the list from within it, says nothing, and gives the focus back', async () => {
    const board = await shop.open()
    const { page, server } = board
    await tabTo(page, /^Say what you did/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^I printed/)
    await page.keyboard.press('Escape')
    expect(await page.locator('.say-list').count()).toBe(0)
    expect(await page.evaluate<string>(FOCUSED)).toMatch(/^Say what you did/)
    expect(server.state.sent).toEqual([])
    await board.close()
  })

  it('SAY-VIEW-3 work is begun and ended, and the row says so in between', async () => {
    const board = await shop.open()
    const row = board.page.locator('.machine', { hasText: 'Sheet A3, window' })
    const say = async (label: string): Promise<void> => {
      await row.getByRole('button', { name: /^Say what you did/ }).click()
      await row.getByRole('button', { name: label }).click()
    }
    await say('I am working on it')
    await row.getByText('Being serviced until 22:30').waitFor()
    await say('I am done; the head is capped')
    await row.getByText('Being serviced').waitFor({ state: 'detached' })
    expect(board.server.state.sent.map((s) => s.body)).toEqual([{ servicing: true }, { servicing: false }])
    await board.close()
  })

  it('SAY-VIEW-4 what stands still on purpose is taken out of service, and brought back', async () => {
    const board = await shop.open()
    const { page, server } = board
    const stored = page.locator('.machine', { hasText: 'Sheet A4, shelf' })
    await stored.getByText('Out of service', { exact: true }).waitFor()
    await stored.getByRole('button', { name: /^Say what you did/ }).click()
    await stored.getByRole('button', { name: 'It is back in service' }).click()
    await stored.getByText('Out of service', { exact: true }).waitFor({ state: 'detached' })
    const calm = page.locator('.machine', { hasText: 'Sheet A3, window' })
    await calm.getByRole('button', { name: /^Say what you did/ }).click()
    await calm.getByRole('button', { name: 'Out of service until I say so' }).click()
    await calm.getByText('Noted: out of service.').waitFor()
    const [ended, planned] = server.state.sent
    expect(ended?.call).toBe('DELETE /quiet/quiet-1')
    expect(planned).toMatchObject({
      call: 'POST /quiet',
      body: { kind: 'outOfService', machineId: 'window', toMs: null, note: '' },
    })
    await board.close()
  })

  it('SAY-VIEW-5 what the monitor cannot take is told at the row, with the cure', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.refusesSaying = true) })
    const row = board.page.locator('.machine').first()
    await row.getByRole('button', { name: /^Say what you did/ }).click()
    await row.getByRole('button', { name: 'The head is on its cap' }).click()
    await row
      .getByRole('alert')
      .getByText('The monitor cannot write now. Free some disk space, then say it again.')
      .waitFor()
    await board.close()
  })

  it('SAY-VIEW-6 owner, operator and technician may say it; a viewer sees no such button, and why all the same', async () => {
    for (const [role, count] of [
      ['owner', 6],
      ['operator', 6],
      ['technician', 6],
      ['viewer', 0],
    ] as const) {
      // prettier-ignore
      const board = await shop.open({ prepare: ({ state }) => void (state.role = role) })
      await board.page.waitForSelector('.strip')
      const seen = await board.page.getByRole('button', { name: /^Say what you did/ }).count()
      expect({ role, seen }).toEqual({ role, seen: count })
      expect(await board.page.getByRole('button', { name: /^Why/ }).count()).toBe(6)
      await board.close()
    }
  }, 60_000)
})
