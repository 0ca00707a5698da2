import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliDecompressSync, gunzipSync } from 'node:zlib'
import axe, { type AxeResults } from 'axe-core'
import Fastify from 'fastify'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { addBoardFiles } from '../../services/web/board-files.ts'
import { SIGN_IN } from '../parts/board-server.ts'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { TASK, VIEWS } from '../parts/board-hashes.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { emptyBoard, SHOP_NOW_MS } from '../parts/invented-shop.ts'
import { waitFor } from '../parts/wait-for.ts'

/** Run in the page: tests are compiled without the names of a browser, so these are texts. */
const FOCUSED = '`${document.activeElement.id} ${document.activeElement.textContent}`'
const SIDEWAYS = 'document.documentElement.scrollWidth - document.documentElement.clientWidth'
/** Of every element that holds letters itself: a drawing without any has no size to be read. */
const LETTER_SIZES = `[...document.querySelectorAll('main *')]
  .filter((el) => [...el.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.data.trim() !== ''))
  .map((el) => parseFloat(getComputedStyle(el).fontSize))`
/** A box or a dot counts with the words that can be tapped with it; rounding takes half a pixel. */
const LOW_TARGETS = `[...document.querySelectorAll('main a, main button, main input, main select, main summary, nav a')]
  .map((el) => el.closest('label') ?? el)
  .filter((el) => !el.closest('p, .only-read, [hidden]') && el.checkVisibility())
  .map((el) => ({ height: el.getBoundingClientRect().height, text: el.textContent || el.id }))
  .filter(({ height }) => height > 1 && height < 43.5)
  .map(({ height, text }) => text + ' ' + height)`

let shop: BoardBrowser

beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

/** Serious and critical findings of axe on the page as it stands. */
async function findings(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const { passes, violations } = await page.evaluate<AxeResults>('axe.run()')
  expect(passes.map((p) => p.id)).toContain('color-contrast')
  return violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)
}

/** Presses Tab until what has the focus reads as asked. */
async function tabTo(page: Page, text: RegExp): Promise<void> {
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press('Tab')
    const focused = await page.evaluate<string>(FOCUSED)
    if (text.test(focused)) return
  }
  throw new Error(`no Tab led to ${text.source}`)
}

describe('for everyone', () => {
  for (const scheme of ['light', 'dark'] as const) {
    for (const [width, height] of [
      [360, 740],
      [1920, 1080],
    ] as const) {
      // prettier-ignore
      it(`A11Y-1 axe finds nothing serious on any view, ${scheme}, ${width} px wide`, async () => {
        const board = await shop.open({ scheme, width, height })
        for (const hash of VIEWS) {
          await board.goTo(hash)
          expect({ hash, found: await findings(board.page) }).toEqual({ hash, found: [] })
        }
        await board.goTo('#/')
        await board.page.getByRole('button', { name: /^Why/ }).first().click()
        expect(await findings(board.page)).toEqual([])
        await board.page.getByRole('button', { name: 'Sign out' }).click()
        await board.page.waitForSelector('.door')
        expect(await findings(board.page)).toEqual([])
        await board.close()
      }, 240_000)
    }
  }

  it('A11Y-7 on a phone whatever is tapped is 44 px high, links within a sentence apart', async () => {
    const board = await shop.open({ width: 360, height: 740 })
    for (const hash of VIEWS) {
      await board.goTo(hash)
      const low = await board.page.evaluate<string[]>(LOW_TARGETS)
      expect({ hash, low }).toEqual({ hash, low: [] })
    }
    await board.close()
  }, 120_000)

  it('A11Y-2 no view scrolls sideways at 320 px', async () => {
    const board = await shop.open({ width: 320, height: 640 })
    for (const hash of VIEWS) {
      await board.goTo(hash)
      const over = await board.page.evaluate<number>(SIDEWAYS)
      expect({ hash, over }).toEqual({ hash, over: 0 })
    }
    await board.close()
  }, 120_000)

  it('A11Y-3 with the keyboard alone: sign in, open the task, sign it off, and hear that it is done', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.signedIn = false) })
    const { page, server } = board
    await tabTo(page, /^name/)
    await page.keyboard.type(SIGN_IN.name)
    await tabTo(page, /^password/)
    await page.keyboard.type(SIGN_IN.password)
    await page.keyboard.press('Enter')
    await page.waitForSelector('.machine')
    await tabTo(page, /back onto its cap/)
    await page.keyboard.press('Enter')
    await page.waitForSelector('.steps')
    await tabTo(page, /It is done/)
    await page.keyboard.press('Enter')
    await page.waitForSelector('#sign-off-note:focus')
    await page.keyboard.type('the plug was loose')
    await tabTo(page, /Sign it off/)
    await page.keyboard.press('Enter')
    await page.getByText('Signed off: Bring the head of Roll 60, left bench back onto its cap.').waitFor()
    expect(server.state.tasks.find((t) => t.id.includes('offItsCap'))?.signedOff?.note).toBe(
      'the plug was loose',
    )
    expect(await page.locator('.tasks .task').count()).toBe(3)
    await page.locator('.done-lately', { hasText: 'the plug was loose' }).waitFor()
    await board.close()
  }, 60_000)

  it('A11Y-13 printed from a dark screen it is dark on light, without what can only be pressed', async () => {
    const board = await shop.open({ hash: '#/closing', scheme: 'dark' })
    const look = `[getComputedStyle(document.body).color, document.querySelector('.ways').checkVisibility()]`
    expect(await board.page.evaluate(look)).toEqual(['rgb(176, 167, 157)', true])
    await board.page.emulateMedia({ media: 'print', colorScheme: 'dark' })
    expect(await board.page.evaluate(look)).toEqual(['rgb(29, 40, 48)', false])
    await board.page.locator('.closing-step').first().waitFor()
    await board.close()
  })

  it('A11Y-4 cautions stand before the steps, in plain view', async () => {
    const board = await shop.open({ width: 360, height: 740, hash: TASK })
    const caution = await board.page.locator('.cautions').boundingBox()
    const steps = await board.page.locator('.steps').boundingBox()
    expect(caution?.height).toBeGreaterThan(0)
    expect(caution?.y).toBeLessThan(steps?.y ?? 0)
    await board.close()
  })

  it('A11Y-6 with the keyboard alone: shelve an alarm with a reason, see it set aside, take it down', async () => {
    const board = await shop.open({ hash: '#/alarms' })
    const { page, server } = board
    await page.waitForSelector('.measures')
    await tabTo(page, /^ ?Shelve: The head of Roll 60/)
    await page.keyboard.press('Enter')
    await page.waitForSelector('#shelve-minutes:focus')
    await page.keyboard.press('Tab')
    await page.keyboard.type('the technician is on the way')
    await page.keyboard.press('Enter')
    await page.getByText(/^Shelved: The head of Roll 60/).waitFor()
    expect(server.state.sent.at(-1)?.body).toEqual({ minutes: 240, reason: 'the technician is on the way' })
    await page.getByText(/until 02:10: the technician is on the way/).waitFor()
    await tabTo(page, /^ ?Take it down: The head of Roll 60/)
    await page.keyboard.press('Enter')
    await page.getByText(/^Taken off the shelf: The head of Roll 60/).waitFor()
    await board.close()
  }, 60_000)

  it('A11Y-5 the wall is read from two metres: no letter under 17 px at 1920, sentences from 25', async () => {
    const board = await shop.open({ width: 1920, height: 1080 })
    const sizes = await board.page.evaluate<number[]>(LETTER_SIZES)
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(17)
    const sentence = board.page.locator('.machine-actNow .sentence')
    expect((await sentence.boundingBox())?.height).toBeGreaterThanOrEqual(25)
    await board.close()
  })
})

describe('live', () => {
  it('LIVE-1 a reading moves the strip, the number beside it and the room, without asking for the board', async () => {
    const board = await shop.open()
    const { page, server } = board
    await page.waitForSelector('.strip')
    // The settings say what the sensor belongs to: they are the last thing a page asks for when it opens.
    await waitFor('the settings', () => (server.state.calls.includes('GET /settings') ? true : null))
    const line = page.locator('.machine').first().locator('.air-line')
    const before = await line.getAttribute('d')
    const asked = server.state.calls.filter((c) => c === 'GET /board').length
    const readings = [
      { sensorId: 'floor-node/humidity', quantity: 'humidity', atMs: SHOP_NOW_MS + 20_000, value: 41.2 },
    ]
    server.push('latest', { readings })
    await page.locator('.machine').first().getByText('41\u00A0%RH').waitFor()
    expect(await line.getAttribute('d')).not.toBe(before)
    expect(await page.locator('.rooms').textContent()).toContain('41\u00A0%RH')
    expect(server.state.calls.filter((c) => c === 'GET /board').length).toBe(asked)
    await board.close()
  }, 60_000)

  it('LIVE-4 the board is asked for once, and the line for what came after it; when it comes again, for both', async () => {
    const board = await shop.open()
    const { page, server } = board
    await page.waitForSelector('.machine')
    await waitFor('the settings', () => (server.state.calls.includes('GET /settings') ? true : null))
    const asked = () => server.state.calls.filter((c) => c === 'GET /board' || c.startsWith('GET /events'))
    expect(asked()).toEqual(['GET /board', 'GET /events?after=41'])
    server.cutLine(true)
    await page.locator('.lost').waitFor()
    server.cutLine(false)
    await page.locator('.lost').waitFor({ state: 'detached', timeout: 30_000 })
    await waitFor('the board again', () => (asked().at(-1) === 'GET /board' ? true : null))
    expect(asked().at(-2)).toBe('GET /events')
    await board.close()
  }, 60_000)

  it('LIVE-2 a lost line is said with its time, the last state stays, and it mends by itself', async () => {
    const board = await shop.open()
    await board.page.waitForSelector('.machine')
    board.server.cutLine(true)
    await board.page
      .getByText(/^Last heard 22:1\d, .* ago\. This is how it was then, not how it is now\./)
      .waitFor()
    expect(await board.page.locator('.machine').count()).toBe(6)
    board.server.cutLine(false)
    await board.page.locator('.lost').waitFor({ state: 'detached', timeout: 30_000 })
    await board.close()
  }, 60_000)

  it('LIVE-3 "I\'m on it" is said once, and a change elsewhere comes in by itself', async () => {
    const board = await shop.open()
    const { page, server } = board
    const row = page.locator('.machine').first()
    await row.getByRole('button', { name: /I'm on it/ }).click()
    await row.getByRole('button', { name: /I'm on it/ }).waitFor({ state: 'detached' })
    expect(server.state.calls.filter((c) => c.endsWith('/acknowledgement'))).toHaveLength(1)
    server.state.board = { ...server.state.board, statement: 'Closed. Nothing needs you.' }
    server.push('alarm', { id: 'x' })
    await page.getByRole('heading', { name: 'Closed. Nothing needs you.' }).waitFor()
    await board.close()
  }, 60_000)
})

describe('an address that names no page', () => {
  it('ROUTE-2 shows the board and says so in one line, and no longer on the next page', async () => {
    const board = await shop.open({ hash: '#/nowhere' })
    const line = board.page.getByText('There is no such page. This is the board.')
    await line.waitFor()
    await board.page.locator('.machine').first().waitFor()
    await board.goTo('#/')
    await line.waitFor({ state: 'detached' })
    await board.close()
  }, 60_000)
})

describe('coming in', () => {
  it('DOOR-1 when the session is over the sign-in page comes up and says so', async () => {
    const board = await shop.open()
    board.server.state.signedIn = false
    board.server.push('task', { id: 'x' })
    await board.page.getByText('You were signed out. Sign in again to go on.').waitFor()
    await board.close()
  })

  it("DOOR-2 the first owner's code leaves the address at once, and the walk through the set-up begins", async () => {
    const prepare = ({ state }: { state: { signedIn: boolean; firstOwnerNeeded: boolean } }) => {
      state.signedIn = false
      state.firstOwnerNeeded = true
    }
    const board = await shop.open({ prepare, hash: '#first-owner=good-code' })
    expect(board.page.url()).not.toContain('good-code')
    await board.page.getByLabel('Name').fill('Mira')
    await board.page.getByLabel('Password').fill('a long enough password')
    await board.page.getByRole('button', { name: 'Become the owner' }).click()
    await board.page.getByRole('heading', { name: /^\d of 8: / }).waitFor()
    expect(board.page.url()).toContain('#/setup/walk')
    await board.close()
  })

  it('DOOR-3 a one-time link signs in by itself and leaves the address', async () => {
    const prepare = ({ state }: { state: { signedIn: boolean } }) => void (state.signedIn = false)
    const board = await shop.open({ prepare, hash: '#sign-in=good-code' })
    await board.page.waitForSelector('.machine')
    expect(board.page.url()).not.toContain('good-code')
    await board.close()
  })

  it('DOOR-4 a wrong password is answered with the cure', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.signedIn = false) })
    await board.page.getByLabel('Name').fill('Mira')
    await board.page.getByLabel('Password').fill('wrong')
    await board.page.getByRole('button', { name: 'Sign in' }).click()
    await board.page.getByText(/check both, or ask an owner for a new password/).waitFor()
    await board.close()
  })

  it('DOOR-5 a viewer is shown the board and tasks, and nothing to answer, sign off or set', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.role = 'viewer') })
    await board.page.waitForSelector('.machine')
    expect(await board.page.locator('.ways a').allTextContents()).toEqual([
      'Board',
      'Closing',
      'Morning',
      expect.stringContaining('Tasks'),
      'Alarms',
    ])
    expect(await board.page.getByRole('button', { name: /I'm on it/ }).count()).toBe(0)
    await board.goTo(TASK)
    expect(await board.page.getByRole('button', { name: 'It is done' }).count()).toBe(0)
    await board.close()
  })
})

describe('setting up', () => {
  it('SETUP-6 an empty shop says what comes next, and its first room is added and saved', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.board = emptyBoard(SHOP_NOW_MS)) })
    const { page, server } = board
    await page.getByRole('link', { name: 'Open Setup' }).first().click()
    await page.getByLabel('Add a room').fill('Drying room')
    await page.getByRole('button', { name: 'Add the room' }).click()
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.rooms.at(-1)).toEqual({
      id: 'drying-room',
      title: 'Drying room',
      airChangesPerH: 0.5,
      targetPct: 45,
      outdoors: false,
    })
    await board.close()
  }, 60_000)

  it('SETUP-7 a wrong field is told at the field, and nothing is lost', async () => {
    const board = await shop.open({ hash: '#/setup' })
    const { page } = board
    await page.getByLabel('Time zone').fill('Europe/Nowhere')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page
      .locator('#settings-site-timeZone-fault', { hasText: 'there is no time zone Europe/Nowhere' })
      .waitFor()
    expect(await page.getByLabel('Time zone').inputValue()).toBe('Europe/Nowhere')
    await board.close()
  }, 60_000)

  it("SETUP-9 a new node's secret is shown once", async () => {
    const board = await shop.open({ hash: '#/sensors' })
    const { page } = board
    await page.getByLabel(/Add a node/).fill('Window, right')
    await page.getByRole('button', { name: 'Add the node' }).click()
    await page.getByText('an-invented-secret-of-no-use', { exact: true }).waitFor()
    await page.getByRole('button', { name: /put it away/ }).click()
    expect(await page.getByText('an-invented-secret-of-no-use').count()).toBe(0)
    await board.close()
  })
})

describe('what is sent', () => {
  it('CSP-1 nothing in any view breaks the content security policy or writes to the console', async () => {
    const board = await shop.open()
    for (const hash of VIEWS) await board.goTo(hash)
    await board.page.getByLabel('Dark').check()
    expect(await board.page.locator('html').getAttribute('data-theme')).toBe('dark')
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('SIZE-1 the first load is under 120 kB compressed, and compressed it is sent', async () => {
    // What index.html names is fetched at once; pages that are opened later bring their own.
    const html = readFileSync(join(shop.boardDir, 'index.html'), 'utf8')
    const first = [...html.matchAll(/(?:src|href)="(\/assets\/[^"]+)"/g)].map(([, file]) => file ?? '')
    expect(first.length).toBeGreaterThan(1)
    const app = Fastify()
    addBoardFiles(app, shop.boardDir)
    for (const [encoding, unpack] of Object.entries({ br: brotliDecompressSync, gzip: gunzipSync })) {
      let bytes = 0
      for (const path of ['/', ...first]) {
        const sent = await app.inject({ url: path, headers: { 'accept-encoding': encoding } })
        bytes += sent.rawPayload.length
        expect([path, sent.headers['content-encoding'], sent.headers.vary]).toEqual([
          path,
          encoding,
          'accept-encoding',
        ])
        const file = path === '/' ? 'index.html' : path.slice(1)
        expect(unpack(sent.rawPayload).equals(readFileSync(join(shop.boardDir, file)))).toBe(true)
      }
      expect(bytes, encoding).toBeGreaterThan(10_000)
      expect(bytes, encoding).toBeLessThan(120_000)
    }
    const plain = await app.inject({ url: first[0] ?? '' })
    expect(plain.headers['content-encoding']).toBeUndefined()
    await app.close()
  })
})
