import axe, { type AxeResults } from 'axe-core'
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { parseConfig } from '../../services/monitor/config.ts'
import { createLog } from '../../services/monitor/log.ts'
import { startMonitor, type RunningMonitor } from '../../services/monitor/start-monitor.ts'
import { CHROMIUM_ARGS, CHROMIUM_PATH } from '../parts/chromium.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { startPushService, type PushService } from '../parts/push-service.ts'
import { signIn, type ShopClient } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { waitFor } from '../parts/wait-for.ts'

const PUBLIC_URL = 'https://shop.example.org'
const folders = createTemporaryFolders()
let service: PushService
let monitor: RunningMonitor
let owner: ShopClient
let browser: Browser

/** A started monitor with its own store and built board; only the way to the push service is led to this computer. */
beforeAll(async () => {
  if (!hasProgram('chromium') || !hasProgram('openssl')) return
  service = await startPushService(folders.make())
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: `${folders.make()}/data`,
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: '0',
    NIGHTCAP_PUBLIC_URL: PUBLIC_URL,
  })
  if (!outcome.ok) throw new Error(outcome.problems.join('\n'))
  const { config } = outcome
  monitor = await startMonitor({ config, log: createLog({ level: 'silent' }), post: service.post })
  owner = await signIn(monitor.url, monitor.firstOwnerCode())
  const { person } = (await (await owner.request('GET', '/api/v1/session')).json()) as {
    person: { id: string }
  }
  await owner.putSettings({
    ...testSettings(),
    contacts: [
      {
        id: 'ana',
        title: 'Ana',
        personId: person.id,
        times: 'always',
        push: true,
        morningReport: false,
        closingReminder: false,
      },
    ],
  })
  browser = await chromium.launch({ executablePath: CHROMIUM_PATH, args: [...CHROMIUM_ARGS] })
}, 60_000)
afterAll(async () => {
  await browser?.close()
  await monitor?.close()
  service?.close()
  folders.removeAll()
})
beforeEach((context) => {
  requireProgram(context, 'chromium')
  requireProgram(context, 'openssl')
})

/** A browser of tests reaches no push service: what one would give is given by hand, with keys that are real. */
const subscribeByHand = (subscription: PushService['subscription']): string => `
  const made = { toJSON: () => (${JSON.stringify(subscription)}), unsubscribe: async () => localStorage.removeItem('by-hand') !== null }
  PushManager.prototype.subscribe = async ({ applicationServerKey, userVisibleOnly }) => {
    localStorage.setItem('by-hand', JSON.stringify({ applicationServerKey, userVisibleOnly }))
    return made
  }
  PushManager.prototype.getSubscription = async () => (localStorage.getItem('by-hand') === null ? null : made)`

async function openPhone(): Promise<{ context: BrowserContext; page: Page; complaints: string[] }> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } })
  await context.grantPermissions(['notifications'], { origin: monitor.url })
  await context.addInitScript(subscribeByHand(service.subscription))
  const page = await context.newPage()
  const complaints: string[] = []
  page.on('console', (message) => complaints.push(message.text()))
  page.on('pageerror', (error) => complaints.push(error.message))
  await page.goto(`${monitor.url}/#/phone`)
  await page.getByLabel('Name').fill('Ana')
  await page.getByLabel('Password').fill('a long enough password')
  await page.getByRole('button', { name: 'Sign in' }).click()
  return { context, page, complaints }
}

const devices = async () =>
  (
    (await (await owner.request('GET', '/api/v1/devices')).json()) as {
      devices: { title: string; lastOkMs: number | null }[]
    }
  ).devices

async function serious(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const { violations } = await page.evaluate<AxeResults>('axe.run()')
  return violations.filter((v) => v.impact === 'serious' || v.impact === 'critical').map((v) => v.id)
}

describe('this phone, at a started monitor', { timeout: 60_000 }, () => {
  it('PHONE-1 allowed and named, it gets a test that it alone can open, the answer comes home, and it stops', async () => {
    const { context, page, complaints } = await openPhone()
    await page.getByRole('heading', { name: 'Notices do not come to this device yet.' }).waitFor()
    expect(await serious(page)).toEqual([])
    // By the keyboard alone.
    await page.getByLabel('What this device is called').focus()
    await page.keyboard.press('Control+A')
    await page.keyboard.type('Ana, bedside')
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { name: 'Notices come to this device.' }).waitFor()
    expect(await devices()).toMatchObject([{ title: 'Ana, bedside', lastOkMs: null }])
    const key = (await (await owner.request('GET', '/api/v1/devices/push-key')).json()) as { key: string }
    expect(await page.evaluate("JSON.parse(localStorage.getItem('by-hand'))")).toEqual({
      applicationServerKey: key.key,
      userVisibleOnly: true,
    })
    expect(await serious(page)).toEqual([])

    await page.getByRole('button', { name: 'Send me a test' }).focus()
    await page.keyboard.press('Enter')
    await page.getByText('A test is on its way.').waitFor()
    const notice = await waitFor('the test', () => service.opened[0] ?? null)
    expect(notice).toMatchObject({ kind: 'test', topic: 'test', page: '/phone' })
    const reply = new URL(String(notice['replyUrl']))
    expect(reply.origin).toBe(PUBLIC_URL)
    const answered = await fetch(`${monitor.url}${reply.pathname}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ answer: 'received' }),
    })
    expect(answered.status).toBe(204)
    await waitFor('the device to be noted', async () =>
      (await devices())[0]?.lastOkMs == null ? null : true,
    )

    await page.goto(`${monitor.url}/#/setup/told`)
    await page.getByText(/^1\sdevice takes notices\. An answer came back \d\d:\d\d\.$/).waitFor()
    const line = page.locator('.deliveries li').first()
    await line.getByText(/^\d\d:\d\d, Ana, as a notice to Ana, bedside at push\.example\.net:\d+$/).waitFor()
    await line.getByText('The push service took it.').waitFor()
    expect(await serious(page)).toEqual([])

    await page.goto(`${monitor.url}/#/phone`)
    await page.getByRole('button', { name: 'Stop notices here' }).focus()
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { name: 'Notices do not come to this device yet.' }).waitFor()
    expect(await devices()).toEqual([])
    expect(await page.evaluate("localStorage.getItem('by-hand')")).toBeNull()
    expect(complaints).toEqual([])
    await context.close()
  })

  it('PHONE-2 a device that the push service no longer knows is taken out, and its page says so', async () => {
    const { context, page } = await openPhone()
    await page.getByRole('button', { name: 'Allow notices here' }).click()
    await page.getByRole('heading', { name: 'Notices come to this device.' }).waitFor()
    service.forgetDevice()
    await page.getByRole('button', { name: 'Send me a test' }).click()
    await waitFor('the device to go', async () => ((await devices()).length === 0 ? true : null))
    await page.reload()
    await page.getByRole('heading', { name: 'Notices do not come to this device yet.' }).waitFor()
    await page.goto(`${monitor.url}/#/setup/told`)
    await page.getByText(/^Not taken, and not tried again: the push service answered 410/).waitFor()
    await context.close()
  })
})
