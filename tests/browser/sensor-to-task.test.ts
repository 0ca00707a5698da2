import { connectAsync, type MqttClient } from 'mqtt'
import { chromium, type Browser } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { CHROMIUM_ARGS, CHROMIUM_PATH } from '../parts/chromium.ts'
import { freePort } from '../parts/free-port.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { spawnMonitor, type MonitorProcess } from '../parts/monitor-process.ts'
import { signIn, type ShopClient } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
let browser: Browser
let monitor: MonitorProcess
let owner: ShopClient
let node: MqttClient
let sequence = 0

/** A real monitor with a shop whose air counts as dry after a second, and a node that may publish. */
beforeAll(async () => {
  if (!hasProgram('chromium')) return
  browser = await chromium.launch({ executablePath: CHROMIUM_PATH, args: [...CHROMIUM_ARGS] })
  const mqttPort = await freePort()
  monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: folders.make(),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(mqttPort),
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  owner = await signIn(monitor.url, monitor.firstOwnerCode)
  const shop = testSettings()
  const airDryPct = { openBelow: 40, closeAbove: 42, onDelayMs: 1000, offDelayMs: 1000 }
  await owner.putSettings({ ...shop, limits: { ...shop.limits, airDryPct } })
  const secret = await owner.addNode('bench')
  node = await connectAsync(`mqtt://127.0.0.1:${mqttPort}`, {
    clientId: 'bench',
    username: 'bench',
    password: secret,
  })
}, 60_000)
afterAll(async () => {
  await node?.endAsync(true)
  await monitor?.stop()
  await browser?.close()
  folders.removeAll()
})
beforeEach((context) => requireProgram(context, 'chromium'))

function publishHumidity(humidityPct: number): Promise<unknown> {
  const pack = [
    { bn: 'bench/', bt: Date.now() / 1000, n: 'humidity', u: '%RH', v: humidityPct },
    { n: 'boot', vs: 'browser-test' },
    { n: 'pack-sequence', v: ++sequence },
  ]
  return node.publishAsync(readingsTopic('quayside', 'bench'), JSON.stringify(pack), { qos: 1 })
}

/** Publishes each half second until `done`: a condition needs readings that go on. */
async function publishUntil(humidityPct: number, done: Promise<unknown>): Promise<void> {
  let over = false
  const ended = done.finally(() => (over = true))
  while (!over) {
    await publishHumidity(humidityPct)
    await Promise.race([ended.catch(() => undefined), new Promise((resolve) => setTimeout(resolve, 500))])
  }
  await ended
}

describe('from a sensor to a task signed off, in a real browser', { timeout: 90_000 }, () => {
  it.each([
    [360, 740],
    [1920, 1080],
  ])(
    'at %i x %i px: a condition appears without reload, its task is signed off and gone',
    async (width, height) => {
      const context = await browser.newContext({ viewport: { width, height } })
      const page = await context.newPage()
      const complaints: string[] = []
      page.on('console', (message) => complaints.push(message.text()))
      page.on('pageerror', (error) => complaints.push(error.message))
      await page.goto(monitor.url)
      await page.getByLabel('Name').fill('Ana')
      await page.getByLabel('Password').fill('a long enough password')
      await page.getByRole('button', { name: 'Sign in' }).click()
      await page.getByRole('heading', { name: 'Roll 60, left bench' }).waitFor()
      await page.evaluate(() => Object.assign(globalThis, { sameDocument: true }))

      const button = page.getByRole('link', { name: /Bring the air in Print floor/ })
      await publishUntil(33, button.waitFor({ timeout: 30_000 }))
      await page.getByText('The air in Print floor is too dry').first().waitFor()
      await button.click()
      await page.getByRole('button', { name: 'It is done' }).click()
      await page.getByLabel(/note/i).fill(`humidifier filled, ${width}`)
      await page.getByRole('button', { name: 'Sign it off' }).click()
      await page.getByText(/^Signed off: Bring the air/).waitFor()
      expect(await page.locator('.tasks .task').count()).toBe(0)
      expect(await owner.tasks('open')).toEqual([])
      expect((await owner.tasks('closed'))[0]).toMatchObject({
        state: 'signedOff',
        signedOff: { note: `humidifier filled, ${width}` },
      })

      await page.evaluate(() => void (location.hash = '#/'))
      const trouble = page.getByText('The air in Print floor is too dry').first()
      await trouble.waitFor()
      await publishUntil(50, trouble.waitFor({ state: 'hidden', timeout: 30_000 }))
      expect(await page.evaluate(() => 'sameDocument' in globalThis)).toBe(true)
      expect(complaints).toEqual([])
      await context.close()
    },
  )
})
