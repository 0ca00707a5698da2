import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { AddressInfo } from 'node:net'
import axe, { type AxeResults } from 'axe-core'
import { chromium, type Browser, type Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { noteInLog } from '../../services/core/kernel/log-entries.ts'
import type { Monitor } from '../../services/core/model/ports/monitor.ts'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { openWebShop, type WebShop } from '../parts/web-shop.ts'

const ALWAYS = { fromMs: 0, toMs: 8e15 }
const SIDEWAYS = 'document.documentElement.scrollWidth - document.documentElement.clientWidth'
let built: BoardBrowser
let browser: Browser
let shop: WebShop

beforeAll(async () => {
  if (!hasProgram('chromium')) return
  built = await openBoardBrowser()
  browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox'] })
}, 120_000)
afterAll(async () => {
  if (!hasProgram('chromium')) return
  await browser.close()
  await built.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))
afterEach(() => shop.close())

/** The real page on the real routes and the real book of record; what is said is taken down as the kernel does it. */
async function openLogbook(hash = '#/logbook', width = 360): Promise<Page> {
  shop = await openWebShop({ boardDir: built.boardDir })
  let seq = 0
  const submit: Monitor['submit'] = async (act) => {
    const atMs = shop.monitor.nowMs()
    const stamp = { seq: ++seq, atMs, receivedMs: atMs }
    if (act.type === 'nozzleCheckLogged' || act.type === 'logEntriesNoted' || act.type === 'careLogged')
      noteInLog({ ...act, ...stamp }, (effect) =>
        shop.book.transaction(() => shop.book.applyEffects(seq, [effect])),
      )
    return { ok: true }
  }
  Object.assign(shop.monitor, { submit })
  await shop.app.listen({ port: 0, host: '127.0.0.1' })
  const { port } = shop.app.server.address() as AddressInfo
  const context = await browser.newContext({ viewport: { width, height: 740 } })
  const [name = '', value = ''] = (shop.headersOf('owner')['cookie'] ?? '').split('=')
  await context.addCookies([{ name, value, url: `http://127.0.0.1:${port}` }])
  const page = await context.newPage()
  await page.goto(`http://127.0.0.1:${port}/${hash}`)
  await page.waitForSelector('#logbook-title')
  return page
}

async function findings(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const { violations } = await page.evaluate<AxeResults>('axe.run()')
  return violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)
}

describe('the logbook at 360 px', () => {
  it('BOOK-1 a clear check is three taps', async () => {
    const page = await openLogbook()
    await page.getByRole('button', { name: 'Roll 60, left bench' }).click()
    await page.getByRole('button', { name: 'All there' }).click()
    // It is nine in the morning there: later a person says why it was checked.
    await page.getByRole('button', { name: 'Done' }).click()
    await page.getByText('Nozzle check of Roll 60, left bench: all nozzles there', { exact: true }).waitFor()
    expect(shop.records.nozzleChecks(ALWAYS)).toMatchObject([
      { machineId: 'roll', reason: 'routine', missing: [] },
    ])
    await page.context().close()
  }, 60_000)

  it('BOOK-2 missing nozzles by keys and by marks on the pattern; marks are shown again', async () => {
    const page = await openLogbook()
    await page.getByRole('button', { name: 'Roll 60, left bench' }).click()
    await page.getByRole('button', { name: /^Keys and pattern of White/ }).click()
    await page.getByRole('checkbox', { name: 'Row 2, line 3 missing' }).click()
    await page.keyboard.press('ArrowRight')
    await page.keyboard.press(' ')
    await page.getByRole('checkbox', { name: 'Row 2, line 4 missing', checked: true }).waitFor()
    expect(await page.getByLabel('White', { exact: true }).inputValue()).toBe('2')
    expect(await findings(page)).toEqual([])
    expect(await page.evaluate<number>(SIDEWAYS)).toBe(0)
    const cell = await page.getByRole('checkbox', { name: 'Row 2, line 3 missing' }).boundingBox()
    expect(Math.min(cell?.width ?? 0, cell?.height ?? 0)).toBeGreaterThanOrEqual(24)
    await page.getByRole('button', { name: /^Keys and pattern of Colour/ }).click()
    const keys = page.getByRole('group', { name: 'Keys for Colour' })
    for (const key of ['1', '2', 'Back', '0']) await keys.getByRole('button', { name: key }).click()
    await page.getByRole('button', { name: 'Done' }).click()
    await page.getByRole('img', { name: 'White: 2 marked on the pattern' }).waitFor()
    expect(shop.records.nozzleChecks(ALWAYS)[0]?.missing).toEqual([
      { channelGroupId: 'roll-white', missingNozzles: 2, places: [14, 15] },
      { channelGroupId: 'roll-colour', missingNozzles: 10 },
    ])
    await page.context().close()
  }, 60_000)

  it('BOOK-3 an entry is corrected, its history shown, and taken out', async () => {
    const page = await openLogbook()
    await page.getByRole('button', { name: 'Note', exact: true }).click()
    await page.getByLabel('Note', { exact: true }).fill('The window stood <b>open</b>')
    await page.getByRole('button', { name: 'Write it down' }).click()
    await page.getByText('The window stood <b>open</b>').waitFor()
    await page.getByRole('button', { name: /^Correct / }).click()
    await page.locator('.log-row textarea').fill('The door stood open')
    expect(await findings(page)).toEqual([])
    await page.getByRole('button', { name: 'Save the correction' }).click()
    await page.getByText('Corrected once').click()
    await page.getByText(/The owner wrote: Note on .+"The window stood <b>open<\/b>"$/).waitFor()
    await page.getByRole('button', { name: /^Correct / }).click()
    await page.getByRole('button', { name: 'It did not happen: take it out' }).click()
    await page.getByRole('button', { name: 'Take it out', exact: true }).click()
    await page.getByText('Nothing of this kind is written down yet.').waitFor()
    expect(shop.records.notes(ALWAYS)).toEqual([])
    await page.context().close()
  }, 60_000)

  it('BOOK-4 a file with bad rows is looked at, names them, and adds the others once', async () => {
    const page = await openLogbook('#/logbook/import')
    const file = join(built.boardDir, 'checks.csv')
    const rows = [
      '2026-03-14 07:30;roll;White;3;routine',
      '14/3/2026;roll;White;1;',
      '2026-03-15 07:30;press;White;1;',
    ]
    writeFileSync(file, ['checked_at;machine;channel_group;missing_nozzles;reason', ...rows].join('\r\n'))
    await page.getByLabel('File').setInputFiles(file)
    await page.getByText('1 entry is new, 0 known already, 2 lines cannot be taken.').waitFor()
    await page
      .getByRole('cell', { name: /"14\/3\/2026" cannot be read as a time: write it as 2026-03-14/ })
      .waitFor()
    await page.getByRole('cell', { name: 'there is no machine "press": name one of roll' }).waitFor()
    expect(await findings(page)).toEqual([])
    expect(await page.evaluate<number>(SIDEWAYS)).toBe(0)
    expect(shop.records.nozzleChecks(ALWAYS)).toEqual([])
    await page.getByRole('button', { name: 'Add 1 entry, and leave out what cannot be taken' }).click()
    await page.getByText('1 entry added. The same file again adds nothing.').waitFor()
    expect(shop.records.nozzleChecks(ALWAYS)).toMatchObject([{ missing: [{ channelGroupId: 'roll-white' }] }])
    await page.getByLabel('File').setInputFiles([])
    await page.getByLabel('File').setInputFiles(file)
    await page.getByText('0 entries are new, 1 known already, 2 lines cannot be taken.').waitFor()
    await page.context().close()
  }, 60_000)
})
