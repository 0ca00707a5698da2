import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser, type OpenBoard } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { inventedPast, LONG_GAP, NIGHT_GAP, PEAK } from '../parts/invented-past.ts'
import { SHOP_NOW_MS } from '../parts/invented-shop.ts'
import { waitFor } from '../parts/wait-for.ts'

const DAY = 86_400_000
const HOUR = 3_600_000
const time = (atMs: number) => new Date(atMs).toISOString().replace('.000Z', 'Z')
const link = (fromMs: number, toMs: number, more = '') =>
  `#/history?from=${time(fromMs)}&to=${time(toMs)}&machines=roll&rooms=floor&bottles=${more}`
const YEAR = link(SHOP_NOW_MS - 365 * DAY, SHOP_NOW_MS)

let shop: BoardBrowser
beforeAll(async () => {
  if (!hasProgram('chromium')) return
  inventedPast()
  shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

/** Opens the page, and waits until what it shows is what was asked for. */
async function open(hash: string, look: { width?: number } = {}): Promise<OpenBoard> {
  const board = await shop.open({ hash, height: 1400, ...look })
  await board.page.waitForSelector('.past-track canvas')
  return board
}

/** The window that the address holds. */
function windowIn(page: Page): { fromMs: number; toMs: number } {
  const query = new URLSearchParams(page.url().split('?')[1])
  return { fromMs: Date.parse(query.get('from') ?? ''), toMs: Date.parse(query.get('to') ?? '') }
}

/** Where on the screen a moment lies. */
async function xOf(page: Page, atMs: number): Promise<number> {
  const { fromMs, toMs } = windowIn(page)
  const [left, right] = await plotEdges(page)
  return left + ((atMs - fromMs) / (toMs - fromMs)) * (right - left)
}

async function plotEdges(page: Page): Promise<[number, number]> {
  return page.evaluate<[number, number]>(
    `(() => { const r = document.querySelector('.past-track .u-over').getBoundingClientRect(); return [r.left, r.right] })()`,
  )
}

/** How dark the darkest dot of each column of the humidity's canvas is, 0 to 255, and how high it stands in px. */
const COLUMNS = `(() => {
  const canvas = document.querySelector('.past-track canvas')
  const over = document.querySelector('.past-track .u-over').getBoundingClientRect()
  const own = canvas.getBoundingClientRect()
  const { data, width, height } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height)
  const columns = []
  for (let x = Math.ceil(over.left - own.left); x < over.right - own.left - 1; x++) {
    let top = null
    for (let y = 0; y < height; y++) {
      const i = 4 * (y * width + x)
      // Traces are the darkest ink: scales and limits are lighter, and dotted.
      if (data[i + 3] > 150 && data[i] + data[i + 1] + data[i + 2] < 240) { top = y; break }
    }
    columns.push(top)
  }
  return columns
})()`

async function columnsOf(page: Page): Promise<(number | null)[]> {
  return page.evaluate<(number | null)[]>(COLUMNS)
}

describe('the past', () => {
  it('HISTORY-1 one gesture of the wheel goes from a year to minutes around the pointer, in ever narrower stretches, and the way back leads to the year', async () => {
    const board = await open(YEAR)
    const { page } = board
    const aimMs = SHOP_NOW_MS - 2 * DAY
    const x = await xOf(page, aimMs)
    const y = (await page.locator('.past-track').first().boundingBox())?.y ?? 0
    await page.mouse.move(x, y + 60)
    await page.getByText('Each stretch is 12').waitFor()
    for (let i = 0; i < 45; i++) await page.mouse.wheel(0, -120)
    await waitFor('minutes in the address', () => {
      const { fromMs, toMs } = windowIn(page)
      return toMs - fromMs < 15 * 60_000 ? true : null
    })
    const { fromMs, toMs } = windowIn(page)
    // A pixel of a year is eight hours, so that is how near the pointer can have aimed.
    expect(Math.abs((fromMs + toMs) / 2 - aimMs)).toBeLessThan(16 * HOUR)
    await page.getByText(/Each stretch is \d+\u00A0s/).waitFor()
    // On a slow machine the gesture may have rested on its way.
    await waitFor('the year again', async () => {
      if (page.url().endsWith(YEAR)) return true
      await page.goBack()
      return null
    })
    await page.getByText('Each stretch is 12').waitFor()
    await board.close()
  }, 60_000)

  it('HISTORY-2 a gap stays a gap: no ink between its ends, at a day and at a year', async () => {
    for (const [hash, gap] of [
      [link(SHOP_NOW_MS - DAY, SHOP_NOW_MS), NIGHT_GAP],
      [YEAR, LONG_GAP],
    ] as const) {
      const board = await open(hash)
      const [left] = await plotEdges(board.page)
      const columns = await waitFor('the picture', async () => {
        const found = await columnsOf(board.page)
        return found.some((top) => top !== null) ? found : null
      })
      const from = Math.ceil((await xOf(board.page, gap.fromMs)) - left) + 4
      const to = Math.floor((await xOf(board.page, gap.toMs)) - left) - 4
      expect(to - from).toBeGreaterThan(10)
      expect(columns.slice(from, to).every((top) => top === null)).toBe(true)
      expect(columns.slice(from - 40, from - 10).some((top) => top !== null)).toBe(true)
      await board.close()
    }
  }, 60_000)

  it('HISTORY-3 a single peak is seen at a year’s width, and told in words', async () => {
    const board = await open(YEAR)
    const [left] = await plotEdges(board.page)
    const columns = await waitFor('the picture', async () => {
      const found = await columnsOf(board.page)
      return found.some((top) => top !== null) ? found : null
    })
    const at = Math.round((await xOf(board.page, PEAK.atMs)) - left)
    const near = columns.slice(at - 3, at + 4).flatMap((top) => top ?? [])
    const others = columns.filter((_, x) => Math.abs(x - at) > 8).flatMap((top) => top ?? [])
    expect(Math.min(...near)).toBeLessThan(Math.min(...others) - 15)
    await board.page.getByText(/highest 78\u00A0%RH \(Wed 20 May/).waitFor()
    await board.close()
  }, 60_000)

  it('HISTORY-4 the CSV holds what the table shows, number by number', async () => {
    const board = await open(link(SHOP_NOW_MS - 6 * HOUR, SHOP_NOW_MS, 'roll-waste&show=table'))
    const { page } = board
    while ((await page.getByRole('button', { name: /^Show the next/ }).count()) > 0)
      await page.getByRole('button', { name: /^Show the next/ }).click()
    const shown = await page.evaluate<string[][]>(
      `[...document.querySelectorAll('.past-table tbody tr')].map((tr) => [...tr.querySelectorAll('td')].map((td) => td.textContent))`,
    )
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('link', { name: 'What is shown, as CSV' }).click(),
    ])
    const lines = parse(readFileSync(await download.path(), 'utf8'))
    expect(lines[0]?.slice(0, 4)).toEqual([
      'start_utc',
      'end_utc',
      'start_shop',
      'room_floor_humidity_pct_min',
    ])
    expect(shown.length).toBeGreaterThan(100)
    expect(lines.slice(1).map((line) => line.slice(3))).toEqual(shown)
    await board.close()
  }, 60_000)

  it('HISTORY-5 a link shows the same again, and back and forward go between places', async () => {
    const board = await open('#/history')
    const { page } = board
    await page.getByRole('button', { name: 'Week' }).click()
    await waitFor('a week in the address', () => (/from=2026-11-19T21:1\d/.test(page.url()) ? true : null))
    await page.getByText(/^Shown:/).click()
    await page.getByLabel('Sheet A3, back wall').uncheck()
    await page.getByLabel('Back room').uncheck()
    await page.locator('.past-name', { hasText: 'Drying dose, Sheet A3' }).waitFor({ state: 'detached' })
    await waitFor('the choice in the address', () =>
      page.url().includes('machines=roll&rooms=floor&bottles=roll-waste') ? true : null,
    )
    const hash = page.url().slice(page.url().indexOf('#'))
    const names = await page.locator('.past-name').allTextContents()
    const headline = await page.locator('h1').textContent()
    const again = await open(hash)
    expect(await again.page.locator('.past-name').allTextContents()).toEqual(names)
    expect(await again.page.locator('h1').textContent()).toBe(headline)
    await again.close()
    // How many places two choices make depends on how fast they followed each other; before them all is shown.
    const left = page.locator('.past-name', { hasText: 'Drying dose, Sheet A3' })
    for (let places = 0; page.url().includes('machines=') && places < 4; places++) {
      const at = page.url()
      await page.goBack()
      await waitFor('the place before', () => (page.url() === at ? null : true))
    }
    expect(page.url()).not.toContain('machines=')
    await left.waitFor()
    await page.goForward()
    await waitFor('a place with the choice', () => (page.url().includes('machines=') ? true : null))
    await board.close()
  }, 60_000)

  it('HISTORY-6 with the keyboard alone: reach the picture, read moments, go nearer, and back to now', async () => {
    const board = await open('#/history')
    const { page } = board
    const focused = () => page.evaluate<string>('document.activeElement.getAttribute("role") ?? ""')
    for (let i = 0; i < 40 && (await focused()) !== 'slider'; i++) await page.keyboard.press('Tab')
    expect(await focused()).toBe('slider')
    await page.keyboard.press('ArrowLeft')
    const slider = page.getByRole('slider')
    const first = await slider.getAttribute('aria-valuetext')
    expect(first).toMatch(/^Thu 26 Nov 2026, 10:\d\d to 10:\d\d: Relative humidity: Print floor \d+/)
    expect(await page.locator('.past-read-out').textContent()).toBe(first)
    await page.keyboard.press('ArrowRight')
    expect(await slider.getAttribute('aria-valuetext')).not.toBe(first)
    for (let i = 0; i < 4; i++) await page.keyboard.press('+')
    await page.getByText(/Each stretch is 30\u00A0s|Each stretch is 1\u00A0min/).waitFor()
    await page.keyboard.press('PageUp')
    await page.keyboard.press('Home')
    await waitFor('now in the address', () => (windowIn(page).toMs >= SHOP_NOW_MS ? true : null))
    await page.keyboard.press('Escape')
    await page.getByText(/^Point at a moment/).waitFor()
    await board.close()
  }, 60_000)

  it('HISTORY-7 dragging moves the time with the pointer, and a double tap goes out', async () => {
    const board = await open(link(SHOP_NOW_MS - 3 * DAY, SHOP_NOW_MS - 2 * DAY))
    const { page } = board
    const y = ((await page.locator('.past-track').first().boundingBox())?.y ?? 0) + 60
    const [left, right] = await plotEdges(page)
    const middle = (left + right) / 2
    await page.mouse.move(middle, y)
    await page.mouse.down()
    await page.mouse.move(middle + (right - left) / 4, y, { steps: 5 })
    await page.mouse.up()
    await waitFor('a quarter of a day earlier', () => {
      const { fromMs, toMs } = windowIn(page)
      const movedMs = SHOP_NOW_MS - 3 * DAY - fromMs
      return toMs - fromMs === DAY && Math.abs(movedMs - 6 * HOUR) < 5 * 60_000 ? true : null
    })
    await page.mouse.dblclick(middle, y)
    await waitFor('four days', () => {
      const { fromMs, toMs } = windowIn(page)
      return toMs - fromMs === 4 * DAY ? true : null
    })
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('HISTORY-8 every target is at least 24 px high, on a phone too', async () => {
    const board = await open('#/history', { width: 360 })
    const heights = await board.page.evaluate<number[]>(
      `[...document.querySelectorAll('.past button, .past a, .past summary')].map((el) => el.getBoundingClientRect().height)`,
    )
    expect(heights.length).toBeGreaterThan(10)
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(24)
    await board.close()
  }, 60_000)
})
