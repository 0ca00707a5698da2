import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser, type OpenBoard } from '../parts/board-browser.ts'
import { inventedRerun } from '../parts/invented-rerun.ts'
import { SHOP_NOW_MS } from '../parts/invented-shop.ts'

let shop: BoardBrowser
beforeAll(async () => {
  shop = await openBoardBrowser()
}, 120_000)
afterAll(() => shop.close())

const HASH = '#/rerun?limit=airDryPct.openBelow&value=38'

async function named(board: OpenBoard, name: RegExp): Promise<void> {
  await board.page.getByRole('button', { name }).focus()
  await board.page.keyboard.press('Enter')
}

describe('the page Re-run', { timeout: 60_000 }, () => {
  it('by the keyboard: start from a link, see how far it is, stop half way, and be told what is kept', async () => {
    const board = await shop.open({ hash: HASH, prepare: ({ state }) => state.rerun.show(null) })
    const { page, server } = board
    await page.getByLabel('Value to try, in %RH').waitFor()
    expect(await page.getByLabel('Value to try, in %RH').inputValue()).toBe('38')
    await named(board, /Start the re-run/)
    await page.getByText('The tried limit. About 3 min left.').waitFor()
    expect(server.state.sent.at(-1)).toMatchObject({
      call: 'POST /reruns',
      body: { limit: 'airDryPct.openBelow', value: 38, grain: 'readings' },
    })
    const done = inventedRerun(server.state.settings, SHOP_NOW_MS)
    server.state.rerun.show({ ...done, state: 'running', share: 0.5, outcomes: done.outcomes.slice(0, 3) })
    await page.getByText('3 of 7 values are worked out').waitFor()
    await named(board, /^Stop$/)
    await page.getByText(/Stopped. What was whole by then is shown/).waitFor()
    expect(await page.locator('.rerun-curve tbody tr').count()).toBe(3)
    expect(board.complaints).toEqual([])
    await board.close()
  })

  it('uses the tried limit: says what it changes, asks once, and the settings have it', async () => {
    const board = await shop.open({ hash: HASH })
    const { page, server } = board
    await page.locator('.rerun-plot svg').waitFor()
    await named(board, /Use this limit/)
    await page.getByText(/38 %RH instead of 40 %RH, from now on/).waitFor()
    expect(server.state.sent).toEqual([])
    await page.keyboard.press('Enter')
    await page.getByText('This limit now stands at 38 %RH.').waitFor()
    expect(server.state.sent).toEqual([{ call: 'POST /reruns/rerun-1/use', body: { value: 38 } }])
    await board.goTo('#/setup/limits')
    await page
      .getByLabel(/Too dry below|below, in %RH/)
      .first()
      .waitFor()
    expect(server.state.settings.limits.airDryPct).toMatchObject({ openBelow: 38, closeAbove: 40 })
    await board.close()
  })

  it('lets a technician run and not use', async () => {
    const board = await shop.open({ hash: HASH, prepare: ({ state }) => void (state.role = 'technician') })
    await board.page.locator('.rerun-plot svg').waitFor()
    expect(await board.page.getByRole('button', { name: /Use this limit/ }).count()).toBe(0)
    expect(await board.page.getByRole('button', { name: /Start the re-run/ }).count()).toBe(1)
    await board.close()
  })
})
