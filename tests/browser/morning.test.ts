import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'

const CHECK = 'POST /nozzle-checks'

let shop: BoardBrowser

beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

describe('the morning', () => {
  it('a nozzle check in three taps on a phone', async () => {
    const board = await shop.open({ hash: '#/morning', width: 360, height: 740 })
    const { page, server } = board
    await page.locator('.check-machines button').first().click()
    await page.getByRole('button', { name: 'All there' }).click()
    await page.getByRole('button', { name: 'Done' }).click()
    await page.getByText(/^Noted: .*all nozzles there\.$/).waitFor()
    expect(server.state.sent).toMatchObject([{ call: CHECK, body: { reason: 'routine', missing: [] } }])
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('the same by the keyboard, with what is missing of an ink', async () => {
    const board = await shop.open({ hash: '#/morning', width: 360, height: 740 })
    const { page, server } = board
    await page.locator('.check-machines button').first().focus()
    await page.keyboard.press('Enter')
    await page.locator('.check').waitFor()
    for (let i = 0; i < 40; i++) {
      await page.keyboard.press('Tab')
      if (await page.evaluate<boolean>('document.activeElement.inputMode === "numeric"')) break
    }
    await page.keyboard.type('12')
    await page.keyboard.press('Enter')
    await page.getByText(/^Noted: .*missing: .* 12\.$/).waitFor()
    expect(server.state.sent).toMatchObject([
      {
        call: CHECK,
        body: { missing: [{ channelGroupId: expect.any(String) as string, missingNozzles: 12 }] },
      },
    ])
    await board.close()
  }, 60_000)

  it('from the board, where the afternoon does not say why', async () => {
    const board = await shop.open()
    const { page, server } = board
    await page
      .getByRole('button', { name: /^Say what you did/ })
      .first()
      .click()
    await page.getByRole('button', { name: 'I checked the nozzles' }).click()
    await page.getByRole('button', { name: 'All there' }).click()
    await page.getByLabel('Something looked wrong').check()
    await page.getByRole('button', { name: 'Done' }).click()
    await page.getByText(/^Noted: .*all nozzles there\.$/).waitFor()
    expect(server.state.sent).toMatchObject([{ call: CHECK, body: { reason: 'suspicion' } }])
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('"Seen" is sent once and read out; a task is reached by its link', async () => {
    const board = await shop.open({ hash: '#/morning' })
    await board.page.getByRole('button', { name: 'Seen' }).click()
    await board.page.getByText('Noted: you saw what is over.').waitFor()
    expect(board.server.state.calls.filter((c) => c === 'POST /morning/seen')).toHaveLength(1)
    await board.page.locator('#main a').first().click()
    await board.page.waitForSelector('.steps')
    expect(board.page.url()).toContain('#/tasks/')
    await board.close()
  }, 60_000)
})
