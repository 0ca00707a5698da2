import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { chromium, type Browser, type BrowserContext } from 'playwright-core'
import { CHROMIUM_ARGS, CHROMIUM_PATH } from '../parts/chromium.ts'
import { freePort } from '../parts/free-port.ts'
import { hasProgram } from '../parts/host.ts'
import { spawnMonitor } from '../parts/monitor-process.ts'
import { signIn } from '../parts/shop-client.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const RUNS = 5
/** A slow phone on a slow mobile network, as browsers' own tools for audits have it (from memory). */
const LATENCY_MS = 150
const DOWN_BYTES_PER_S = 1_600_000 / 8
const UP_BYTES_PER_S = 750_000 / 8
const CPU_SLOWER = 4

/**
 * From the address to the first machine on the board that can be tapped, nothing kept from before but who is signed in;
 * the anchor is a page of one line from a bare server, on the same phone.
 */
export async function firstLoadBench() {
  if (!hasProgram('chromium')) {
    console.log('chromium is missing: apt-get install chromium. Its line is left out.')
    return []
  }
  const folders = createTemporaryFolders()
  const monitor = await spawnMonitor({
    NIGHTCAP_DATA_DIR: folders.make(),
    NIGHTCAP_HTTP_PORT: '0',
    NIGHTCAP_MQTT_PORT: String(await freePort()),
    NIGHTCAP_LOG_LEVEL: 'error',
  })
  const owner = await signIn(monitor.url, monitor.firstOwnerCode)
  await owner.putSettings(testSettings())
  const bare = createServer((_, response) =>
    response.setHeader('content-type', 'text/html').end('<h2>Roll</h2>'),
  )
  await new Promise<void>((resolve) => bare.listen(0, '127.0.0.1', resolve))
  const browser = await chromium.launch({ executablePath: CHROMIUM_PATH, args: [...CHROMIUM_ARGS] })
  const cookies = await cookiesOf(browser, monitor.url)
  const shown = async (url: string): Promise<number> => {
    const context = await browser.newContext({
      viewport: { width: 360, height: 740 },
      serviceWorkers: 'block',
    })
    await context.addCookies(cookies)
    const ms = await loadMs(context, url)
    await context.close()
    return ms
  }
  const times = { ours: [] as number[], anchor: [] as number[] }
  for (let run = 0; run < RUNS; run++) {
    times.ours.push(await shown(monitor.url))
    times.anchor.push(await shown(`http://127.0.0.1:${(bare.address() as AddressInfo).port}/`))
  }
  await browser.close()
  bare.close()
  await monitor.stop()
  folders.removeAll()
  const [ours, anchor] = [middle(times.ours), middle(times.anchor)]
  return [
    {
      what: 'first load of the board on a slow phone, until it can be used',
      ours,
      anchor,
      unit: 'ms',
      aim: 1000,
    },
  ]
}

async function cookiesOf(browser: Browser, url: string) {
  const context = await browser.newContext()
  const page = await context.newPage()
  await page.goto(url)
  await page.getByLabel('Name').fill('Ana')
  await page.getByLabel('Password').fill('a long enough password')
  await page.getByRole('button', { name: 'Sign in' }).click()
  await page.getByRole('heading', { level: 2 }).first().waitFor()
  const cookies = await context.cookies()
  await context.close()
  return cookies
}

async function loadMs(context: BrowserContext, url: string): Promise<number> {
  const page = await context.newPage()
  const devtools = await context.newCDPSession(page)
  await devtools.send('Network.enable')
  await devtools.send('Network.emulateNetworkConditions', {
    offline: false,
    latency: LATENCY_MS,
    downloadThroughput: DOWN_BYTES_PER_S,
    uploadThroughput: UP_BYTES_PER_S,
  })
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: CPU_SLOWER })
  // The page itself looks out for it: asking it from here, again and again, would cost the slow phone more than the board.
  await page.addInitScript(NOTE_FIRST_MACHINE)
  await page.goto(url, { waitUntil: 'load' })
  return page.evaluate<number>('usableMs')
}

/** Resolves when the heading of the first machine stands there, in ms since the address was asked for. */
const NOTE_FIRST_MACHINE = `
  window.usableMs = new Promise((resolve) => {
    const look = () => {
      if (![...document.querySelectorAll('h2, h3')].some((h) => h.textContent.includes('Roll'))) return
      watch.disconnect()
      requestAnimationFrame(() => setTimeout(() => resolve(performance.now())))
    }
    const watch = new MutationObserver(look)
    watch.observe(document, { childList: true, subtree: true })
  })
`

function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? NaN
}
