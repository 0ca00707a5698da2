import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { PROOF_WAIT_MS } from '../../services/core/kernel/shop-proof.ts'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { SHOP_NOW_MS } from '../parts/invented-shop.ts'
import { createWorkBoard } from '../parts/work-board.ts'

const FOCUSED = '`${document.activeElement.id} ${document.activeElement.textContent}`'
const BOTTLE = { kind: 'bottle', id: 'back-waste' } as const

let shop: BoardBrowser

beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

/** A page on a shop whose work the real kernel keeps; a full bottle asks for a task. */
async function openWork(hash: string) {
  const { work, calendars, routes } = createWorkBoard(SHOP_NOW_MS)
  work.knowBottle({ emptiedMs: null, massKg: 1.9 })
  work.alarm('bottleNear', BOTTLE)
  const prepare = ({ state }: { state: { routes: unknown } }) => void (state.routes = routes)
  const board = await shop.open({ prepare, hash })
  return { ...board, work, calendars }
}

async function tabTo(page: Page, text: RegExp): Promise<void> {
  for (let i = 0; i < 120; i++) {
    await page.keyboard.press('Tab')
    if (text.test(await page.evaluate<string>(FOCUSED))) return
  }
  throw new Error(`no Tab led to ${text.source}`)
}

describe('work by the keyboard alone', () => {
  it('A11Y-20 a task is opened, put off with a reason, and taken up again', async () => {
    const { page, work, close } = await openWork('#/tasks')
    await tabTo(page, /^ Empty Waste bottle/)
    await page.keyboard.press('Enter')
    await page.waitForSelector('.steps')
    await tabTo(page, /Not you, or not now/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^defer-hours/)
    await page.keyboard.type('three')
    await tabTo(page, /^defer-reason/)
    await page.keyboard.type('the hauler comes on Monday')
    await page.keyboard.press('Enter')
    await page.getByText(/Put off until .+: the hauler comes on Monday$/).waitFor()
    expect(work.tasks()[0]?.deferred?.reason).toBe('the hauler comes on Monday')
    await page.getByRole('heading', { name: 'Nothing needs you now.' }).waitFor()
    await tabTo(page, /Not you, or not now/)
    await page.keyboard.press('Enter')
    await tabTo(page, /Take it up again/)
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { name: 'What waits for you' }).waitFor()
    expect(work.tasks()[0]?.deferred).toBe(null)
    await close()
  }, 60_000)

  it('SIGN-3 what the scale says against a signature stands plainly beside it, and the work is asked for again', async () => {
    const { page, server, work, close } = await openWork('#/tasks')
    await tabTo(page, /^ Empty Waste bottle/)
    await page.keyboard.press('Enter')
    await tabTo(page, /It is done/)
    await page.keyboard.press('Enter')
    await page.waitForSelector('#sign-off-note:focus')
    await page.keyboard.type('emptied into the drum')
    await tabTo(page, /Sign it off/)
    await page.keyboard.press('Enter')
    const done = page.locator('.done-lately li', { hasText: 'emptied into the drum' })
    await done.getByText('Signed off by Mira').waitFor()
    await done.getByText(/^The sensors cannot tell yet/).waitFor()

    work.clock(SHOP_NOW_MS + PROOF_WAIT_MS)
    server.push('task', {})
    await done
      .getByText('The sensors say otherwise: The weight has not fallen: 1.70 kg are still in it.')
      .waitFor()
    await done.getByText('Signed off by Mira').waitFor()
    await page.locator('.tasks').getByText(', asked for again').waitFor()
    await close()
  }, 60_000)

  it('A11Y-21 a routine is started by hand, once', async () => {
    const { page, work, close } = await openWork('#/tasks')
    await tabTo(page, /Start a routine now/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^start-routine /)
    await page.keyboard.type('Clean around')
    await tabTo(page, /Make it a task/)
    await page.keyboard.press('Enter')
    await page.getByText('Now a task: Clean around the head.').waitFor()
    expect(work.tasksOf('around-head')).toMatchObject([{ state: 'open', subject: { id: 'roll' } }])
    await page.locator('#tasks-title:focus').waitFor()
    await tabTo(page, /Start a routine now/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^start-routine /)
    await page.keyboard.type('Clean around')
    await tabTo(page, /Make it a task/)
    await page.keyboard.press('Enter')
    await page
      .getByRole('alert')
      .getByText(/is open already: see the list/)
      .waitFor()
    expect(work.tasksOf('around-head')).toHaveLength(1)
    await close()
  }, 60_000)

  it('A11Y-22 from what is seen to the check, and the check becomes a task', async () => {
    const { page, work, close } = await openWork('#/symptoms')
    await tabTo(page, /^symptom-machine/)
    await page.keyboard.press('Tab')
    await page.keyboard.press('Space')
    await page.getByRole('heading', { name: /^Begin with: .*pinch rollers/ }).waitFor()
    await tabTo(page, /^symptom-note/)
    await page.keyboard.type('every 9 cm')
    await page.keyboard.press('Enter')
    await page.getByText('It is a task now.').waitFor()
    expect(
      work
        .tasks()
        .find((t) => t.origin === 'symptom')
        ?.otherReasons.join(' '),
    ).toContain('every 9 cm')
    await page.getByRole('link', { name: 'Open the tasks' }).click()
    await page
      .locator('.tasks')
      .getByText(/pinch rollers/)
      .waitFor()
    await close()
  }, 60_000)

  it('A11Y-23 a disposal is logged with its day, corrected, and says what it said before', async () => {
    const { page, work, close } = await openWork('#/logbook/waste')
    await page.getByText('follow your local rules').waitFor()
    await tabTo(page, /^ Take what the scale saw leave/)
    await page.keyboard.press('Enter')
    await tabTo(page, /^disposal-whom/)
    await page.keyboard.type('Harbour hauling')
    await page.keyboard.press('Enter')
    await page.getByText('Logged.').waitFor()
    await page.getByText('1400 mL to Harbour hauling').waitFor()
    await tabTo(page, /^ Correct the entry for Harbour/)
    await page.keyboard.press('Enter')
    await page.locator('#disposal-volume').fill('1200')
    await page.locator('#disposal-date').fill('2026-11-24')
    await page.getByRole('button', { name: 'Save the correction' }).click()
    await page.getByText('1200 mL to Harbour hauling').waitFor()
    const corrected = work.effects.findLast((e) => e.type === 'disposalLogged')
    // Noon in Brussels.
    expect(corrected).toMatchObject({ disposal: { disposedMs: Date.UTC(2026, 10, 24, 11), volumeMl: 1200 } })
    await tabTo(page, /^ Corrected once/)
    await page.keyboard.press('Enter')
    await page.getByText(/Mira wrote: 1400 mL to Harbour hauling, 26 November 2026/).waitFor()
    await page.locator('.month-row', { hasText: 'November 2026' }).getByText('1200 mL').waitFor()
    expect(await page.getByRole('link', { name: /CSV/ }).getAttribute('href')).toBe('/api/v1/disposals.csv')
    await close()
  }, 60_000)

  it('a disposal cannot be dated into the future', async () => {
    const { page, work, close } = await openWork('#/logbook/waste')
    expect(await page.locator('#disposal-date').getAttribute('max')).toBe('2026-11-26')
    await page.locator('#disposal-volume').fill('1')
    await page.locator('#disposal-whom').fill('Harbour hauling')
    await page.locator('#disposal-date').fill('2026-11-27')
    await page.getByRole('button', { name: 'Log it' }).click()
    expect(await page.locator('#disposal-date:invalid').count()).toBe(1)
    expect(work.effects.some((e) => e.type === 'disposalLogged')).toBe(false)
    await close()
  }, 60_000)
})

describe('work in Setup', () => {
  it('SETUP-20 a calendar address is shown once, and revoked', async () => {
    const { page, calendars, close } = await openWork('#/setup')
    await page.getByLabel('Whose calendar').fill("Mira's phone")
    await page.getByRole('button', { name: 'Make an address' }).click()
    await page.getByText(/^http:.*\/calendar\/an-invented-secret\.ics$/).waitFor()
    await page.getByRole('button', { name: /put it away/ }).click()
    expect(await page.getByText('an-invented-secret').count()).toBe(0)
    await page.getByRole('button', { name: "Revoke the address for Mira's phone" }).click()
    await page.getByText("The address for Mira's phone is no longer good.").waitFor()
    expect(calendars).toEqual([])
    await close()
  }, 60_000)

  it('SETUP-21 closing steps: words, order, one switched off, one of our own', async () => {
    const { page, server, close } = await openWork('#/setup')
    const part = page.locator('fieldset', { has: page.locator('legend', { hasText: 'Closing list' }) })
    await part.getByText('Cover shut').click()
    const cover = part.locator('details[open]')
    await cover.getByRole('button', { name: 'Earlier' }).click()
    await cover.getByLabel('Ask for it').uncheck()
    await part.getByLabel('Add a step for the shop').fill('Lights off at the light table')
    await part.getByRole('button', { name: 'Add the step' }).last().click()
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    const { closingSteps } = server.state.settings
    const ids = closingSteps.map((s) => s.id)
    expect(ids.indexOf('cover')).toBe(ids.indexOf('home') - 1)
    expect(closingSteps.find((s) => s.id === 'cover')?.on).toBe(false)
    expect(closingSteps.at(-1)).toMatchObject({ text: 'Lights off at the light table', of: 'shop', on: true })
    await close()
  }, 60_000)

  it('SETUP-22 a routine of our own, and its faults beside their fields', async () => {
    const { page, server, close } = await openWork('#/setup')
    const part = page.locator('fieldset', { has: page.locator('legend', { hasText: 'Routines' }) })
    await part.getByText('Wipe the encoder strip').click()
    await part.getByLabel('At, such as 09:00').first().fill('9 am')
    await part.getByLabel('Title').first().fill('')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await part.getByText('write a time of day as HH:MM, such as 09:00').waitFor()
    await part.getByText('give a title of 1 to 80 characters').waitFor()
    await part.getByLabel('At, such as 09:00').first().fill('08:45')
    await part.getByLabel('Title').first().fill('Wipe the strip')
    await part.getByLabel('Add a routine').fill('Wash the light table')
    await part.getByRole('button', { name: 'Add the routine' }).click()
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.routines).toMatchObject([
      { id: 'encoder-strip', title: 'Wipe the strip', trigger: { time: '08:45' } },
      { id: 'wash-the-light-table', trigger: { kind: 'asNeeded' } },
    ])
    await close()
  }, 60_000)
})
