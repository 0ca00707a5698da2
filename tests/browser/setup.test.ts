import type { Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser, type OpenBoard } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { SHOP_NOW_MS } from '../parts/invented-shop.ts'

let shop: BoardBrowser
beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name })

describe('the settings as one file', { timeout: 60_000 }, () => {
  it('FILE-1 a fault is told with its line; what would change is read before it is applied', async () => {
    const board = await shop.open({ hash: '#/setup/file' })
    const { page, server } = board
    const area = page.locator('#settings-text')
    await area.waitFor()
    const text = await area.inputValue()
    await area.fill(text.replace('openBelow: 40', 'openBelow: dry'))
    await button(page, 'Show what would change').click()
    await button(page, /Show line \d+/).click()
    expect(await page.evaluate<string>('getSelection().toString()')).toContain('openBelow: dry')
    await area.fill(text.replace('openBelow: 40', 'openBelow: 38'))
    await button(page, 'Show what would change').click()
    await page.getByText('Dry air, told below: from 40 to 38 %RH').waitFor()
    expect(server.state.settings.limits.airDryPct.openBelow).toBe(40)
    await page.getByLabel(/^Why, for the record/).fill('two quiet weeks')
    await button(page, 'Change it so').click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.limits.airDryPct.openBelow).toBe(38)
    await board.goTo('#/setup/changes')
    await page.getByText('Why: two quiet weeks').waitFor()
    await page.getByText('Dry air, told below: from 40 to 38 %RH').waitFor()
    await board.close()
  })

  it('FILE-2 a file that was overtaken by someone else is refused, and nothing of theirs is lost', async () => {
    const board = await shop.open({ hash: '#/setup/file' })
    const { page, server } = board
    const area = page.locator('#settings-text')
    await area.waitFor()
    await area.fill((await area.inputValue()).replace('openBelow: 40', 'openBelow: 38'))
    await button(page, 'Show what would change').click()
    await button(page, 'Change it so').waitFor()
    const theirs = structuredClone(server.state.settings)
    theirs.site.title = 'Somebody else was here'
    server.state.settings = theirs
    await button(page, 'Change it so').click()
    await page.getByText(/Someone else changed the settings meanwhile/).waitFor()
    expect(server.state.settings).toEqual(theirs)
    await board.close()
  })

  it('FILE-3 a file is taken up, and goes out again as a download', async () => {
    const board = await shop.open({ hash: '#/setup/file' })
    const { page } = board
    await page.locator('#settings-text').waitFor()
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      button(page, 'Download the file').click(),
    ])
    expect(download.suggestedFilename()).toBe('nightcap-settings.yaml')
    const buffer = Buffer.from('site: { id: quayside, title: Other }\n')
    await page
      .getByLabel('Or take the text from a file')
      .setInputFiles({ name: 's.yaml', mimeType: 'application/yaml', buffer })
    await button(page, 'Show what would change').click()
    await page
      .getByText(/^Machine .*: removed$/)
      .first()
      .waitFor()
    await button(page, 'Leave it as it is').click()
    expect(board.complaints).toEqual([])
    await board.close()
  })
})

describe('limits', { timeout: 60_000 }, () => {
  it('LIMITS-1 each says what it means and where it comes from; a change is saved with its reason', async () => {
    const board = await shop.open({ hash: '#/setup/limits' })
    const { page, server } = board
    await page.getByText('Below this the board says dry air.').waitFor()
    await page.getByText('Starting value (common practice, no source), never changed.').first().waitFor()
    expect(
      await page.getByRole('link', { name: /Try it on the past.*Dry air, Told below/ }).getAttribute('href'),
    ).toBe('#/rerun?limit=airDryPct.openBelow&value=40')
    await page.getByLabel('Told below, in %RH').first().fill('38')
    await page.getByLabel(/^Why, for the record/).fill('ink did not mind')
    await button(page, 'Save the changes').click()
    await page.getByText(/Set by Mira, .* Why: ink did not mind Our starting value is 40 %RH/).waitFor()
    expect(server.state.settings.limits.airDryPct.openBelow).toBe(38)
    await board.close()
  })
})

describe('two owners at once', { timeout: 60_000 }, () => {
  it('SETUP-10 who comes second is told before anything is lost, and may still save', async () => {
    const board = await shop.open({ hash: '#/setup' })
    const { page, server } = board
    await page.getByLabel('Name', { exact: true }).fill('Mine')
    server.state.settings = { ...server.state.settings, bottles: [] }
    await button(page, 'Save the changes').click()
    await page.getByText(/Someone else saved other settings meanwhile/).waitFor()
    expect(server.state.settings.site.title).not.toBe('Mine')
    await button(page, 'Save the changes').click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.site.title).toBe('Mine')
    await board.close()
  })
})

describe('power bands', { timeout: 60_000 }, () => {
  it('POWER-1 what waits is accepted; bands told by hand hold until they are given back', async () => {
    const board = await shop.open({ hash: '#/setup/power' })
    const { page, server } = board
    await page.getByText(/Learned anew, and moved by over a fifth/).waitFor()
    await button(page, 'Accept what was learned').click()
    await page.getByText('Accepted.').waitFor()
    const form = page.locator('.power-part').first()
    await form.getByText('Correct them by hand').click()
    await form.getByLabel('Cleaning to, in W').fill('200')
    await button(page, 'Use these bands').first().click()
    await form.getByText('Cleaning and printing overlap: part the two.').waitFor()
    await form.getByLabel('Cleaning to, in W').fill('150')
    await button(page, 'Use these bands').first().click()
    await form.getByText('Told by hand.').waitFor()
    expect(server.state.settings.machines[0]?.powerBandsW).toMatchObject({
      cleaning: [100, 150],
      insteadOfLearned: true,
    })
    await button(page, 'Back to what is learned').first().click()
    await form.getByText('Learned from the machine’s own past.').waitFor()
    expect(server.state.settings.machines[0]?.powerBandsW).toBeUndefined()
    await board.close()
  })
})

describe('a scale is calibrated at the scale', { timeout: 60_000 }, () => {
  /** Three readings of the same, a second apart: what a scale sends that was left alone. */
  async function lay(board: OpenBoard, sensorId: string, kg: number, at: { ms: number }): Promise<void> {
    for (const wobble of [0, 0.001, -0.001]) {
      at.ms += 1000
      const reading = { sensorId, quantity: 'mass', atMs: at.ms, value: kg + wobble }
      board.server.push('latest', { readings: [reading] })
      // The third may have led on to the next step already.
      if (wobble >= 0)
        await board.page.locator('.scale-value', { hasText: (kg + wobble).toFixed(4) }).waitFor()
    }
  }

  it('SCALE-6 four loads on a phone, one step taken back, and the scale and the bottle are set with a reason', async () => {
    const board = await shop.open({ hash: '#/setup/scale', width: 360, height: 740 })
    const { page, server } = board
    const [bottle] = server.state.settings.bottles
    const sensor = server.state.settings.sensors.find((s) => s.subject.id === bottle?.id)
    if (!bottle || !sensor) throw new Error('the invented shop has a bottle on a scale')
    await board.goTo(`#/setup/scale/${bottle.id}`)
    const at = { ms: SHOP_NOW_MS }
    await button(page, /begin/).click()
    await lay(board, sensor.id, 0.5, at)
    await page.getByRole('heading', { name: /2 of 4/ }).waitFor()
    await page.getByLabel('It weighs, in kg').fill('2')
    await lay(board, sensor.id, 1.5, at)
    await page.getByRole('heading', { name: /3 of 4/ }).waitFor()
    await button(page, 'One step back').click()
    await page.getByRole('heading', { name: /2 of 4/ }).waitFor()
    await button(page, 'That step as it was').click()
    await page.getByRole('heading', { name: /3 of 4/ }).waitFor()
    await lay(board, sensor.id, 0.6, at)
    await page.getByRole('heading', { name: /4 of 4/ }).waitFor()
    await button(page, 'Leave this out').click()
    await page.getByText(/more than a fifth off/).waitFor()
    await page.getByText('0.200\u00A0kg').first().waitFor()
    await button(page, 'Keep it all the same').click()
    await page.getByText('Kept.').waitFor()
    const saved = server.state.settings
    expect(saved.bottles[0]?.tareKg).toBeCloseTo(0.2, 2)
    expect(saved.sensors.find((s) => s.id === sensor.id)?.correction?.scale).toBeCloseTo(2, 2)
    await board.goTo('#/setup/changes')
    await page.getByText(/Scale calibrated at the bottle with a weight of 2 kg/).waitFor()
    await board.close()
  })
})

describe('nodes and sensors', { timeout: 60_000 }, () => {
  it('NODE-3 a node is removed only after it was asked once more', async () => {
    const board = await shop.open({ hash: '#/sensors' })
    const { page, server } = board
    const before = server.state.sensors.nodes.length
    await button(page, /^Remove the node/)
      .first()
      .click()
    await button(page, 'Leave it').click()
    expect(server.state.sensors.nodes.length).toBe(before)
    await button(page, /^Remove the node/)
      .first()
      .click()
    await button(page, 'Remove it').click()
    await page.getByText(/ is removed\.$/).waitFor()
    expect(server.state.sensors.nodes.length).toBe(before - 1)
    await board.close()
  })
})

describe('a device that speaks its own JSON', { timeout: 60_000 }, () => {
  it('FOREIGN-5 its value is found by a tap in one of its messages, and shown as it will be read', async () => {
    const bound: unknown[] = []
    const prepare: NonNullable<Parameters<BoardBrowser['open']>[0]>['prepare'] = ({ state }) => {
      state.routes = [
        [
          'POST',
          /^\/sensors\/assignment$/,
          (_, { body }) => {
            bound.push(JSON.parse(body))
            return { status: 204 }
          },
        ],
      ]
    }
    const board = await shop.open({ hash: '#/sensors', prepare })
    const { page } = board
    await button(page, 'Bind a device').click()
    await page.getByLabel('Topic it publishes on').fill('hall/air')
    await page.getByLabel('One of its messages, to try it on').fill('{"air":[{"rh":452}],"id":"x"}')
    await page.getByLabel('/air/0/rh').check()
    await page.getByLabel('Times').fill('0.1')
    await page.getByText('That is read as 45.2 %RH.').waitFor()
    await button(page, 'Bind it').click()
    await page.getByText(/is assigned\.$/).waitFor()
    expect(bound).toMatchObject([
      {
        id: 'floor-node/humidity-2',
        quantity: 'humidity',
        subject: { kind: 'room', id: 'floor' },
        foreign: { topicFilter: 'hall/air', pointer: '/air/0/rh', scale: 0.1, offset: 0 },
      },
    ])
    await board.close()
  })
})

describe('heads in all settings', { timeout: 60_000 }, () => {
  it('HEADS-1 a head with white ink is added to a machine and saved', async () => {
    const board = await shop.open({ hash: '#/setup' })
    const { page, server } = board
    const heads = page.locator('.heads').first()
    await heads.locator('summary').click()
    await heads.getByRole('button', { name: /^Add a head/ }).click()
    const before = server.state.settings.machines[0]?.heads.length ?? 0
    await heads
      .getByRole('button', { name: /^Add a channel group/ })
      .last()
      .click()
    await button(page, 'Save the changes').click()
    await page.getByText('Saved.').waitFor()
    const saved = server.state.settings.machines[0]?.heads ?? []
    expect(saved.length).toBe(before + 1)
    expect(saved.at(-1)?.channelGroups.map((g) => g.ink)).toEqual(['colour', 'white'])
    await board.close()
  })
})
