import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'

const PRESSED = 'document.activeElement.getAttribute("aria-pressed")'
const FOCUSED = 'document.activeElement.textContent'

let shop: BoardBrowser

beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

/** One Tab on; gives the words of what has the focus then. */
async function tabOn(page: Page): Promise<string> {
  await page.keyboard.press('Tab')
  return (await page.evaluate<string | null>(FOCUSED)) ?? ''
}

describe('the closing list', () => {
  it('A11Y-12 by the keyboard alone, from the first step to "ready for the night", and finished', async () => {
    const board = await shop.open({ hash: '#/closing', width: 360, height: 740 })
    const { page } = board
    await page.waitForSelector('.closing-verdict')
    for (let i = 0; i < 120; i++) {
      const text = await tabOn(page)
      if ((await page.evaluate<string | null>(PRESSED)) === 'false') {
        await page.keyboard.press('Space')
        await page.locator('[aria-pressed=true]:focus').waitFor()
      } else if (/^Finish/.test(text)) break
    }
    await page.locator('h1', { hasText: 'Ready for the night.' }).waitFor()
    await page.keyboard.press('Enter')
    await page.locator('.closing-finished', { hasText: 'ready for the night' }).waitFor()
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('a second tap takes a step back, and the verdict follows', async () => {
    const board = await shop.open({ hash: '#/closing' })
    const cover = board.page.getByRole('button', { name: /^Cover shut/ })
    await cover.click()
    await board.page.locator('[aria-pressed=true]', { hasText: 'Cover shut' }).waitFor()
    await cover.click()
    await board.page.locator('[aria-pressed=false]', { hasText: 'Cover shut' }).waitFor()
    await board.page.locator('h1', { hasText: 'Not ready' }).waitFor()
    await board.close()
  }, 60_000)
})
