import { chromium, type Browser } from 'playwright-core'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { CHROMIUM_ARGS, CHROMIUM_PATH } from '../parts/chromium.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { openNightShop, type NightShop } from '../parts/night-shop.ts'
import { openPushPage } from '../parts/push-page.ts'
import { waitFor } from '../parts/wait-for.ts'
import { FALL, powerFails, WINTER_START_MS, winterMinute, winterShop } from '../parts/winter-shop.ts'

const MIN = 60_000
const values = powerFails(FALL + 55)

let browser: Browser
let shop: NightShop
const canRun = (): boolean => hasProgram('chromium') && hasProgram('openssl')
beforeAll(async () => {
  if (!canRun()) return
  browser = await chromium.launch({ executablePath: CHROMIUM_PATH, args: [...CHROMIUM_ARGS] })
  shop = await openNightShop({
    startMs: WINTER_START_MS,
    settings: (personId, out) =>
      winterShop({
        // Whom a push service may write to; here no https address can say that.
        mail: { host: 'localhost', port: out.smtpPort, security: 'none', from: 'nightcap@example.org' },
        telling: { allowPrivateWebhooks: true },
        contacts: [
          { id: 'ana', title: 'Ana', personId },
          {
            ...{ id: 'relay', title: 'Night relay', webhookUrl: out.hookUrl },
            ...{ closingReminder: false, morningReport: false },
          },
        ],
      }),
  })
  await shop.addDevice()
}, 60_000)
afterAll(async () => {
  await shop?.close()
  await browser?.close()
})
beforeEach((context) => {
  requireProgram(context, 'chromium')
  requireProgram(context, 'openssl')
})

/** What reached the device, as "day clock kind", by the shop's clock. */
const told = () =>
  shop.out.pushed.map(({ kind, sentMs }) => {
    const text = new Date(sentMs).toLocaleString('en-GB', {
      ...{ timeZone: 'Europe/Brussels', weekday: 'short', hour: '2-digit', minute: '2-digit' },
    })
    return `${text.replace(',', '')} ${kind}`
  })

const kinds = () => shop.out.pushed.map((n) => n.kind)

describe('a winter week, from the sensors to the phone', { timeout: 400_000 }, () => {
  it('calls for the head that is off its cap, is answered from the locked screen, and is silent else', async () => {
    const page = await (await browser.newContext({ viewport: { width: 360, height: 740 } })).newPage()
    await page.goto(shop.monitor.url)
    await page.getByLabel('Name').fill('Ana')
    await page.getByLabel('Password').fill('a long enough password')
    await page.getByRole('button', { name: 'Sign in' }).click()
    await page.getByRole('heading', { name: 'Film printer' }).waitFor()
    const phone = await openPushPage(page)
    const shown = (wanted: RegExp) =>
      waitFor(`a notice like ${wanted.source}`, async () => {
        const all = await phone.shown()
        return all.find((n) => wanted.test(`${n.title} ${n.body}`)) ?? null
      })

    // Before the week begins, the way back is tried from the phone itself.
    await shop.liveUntil(1, values)
    await shop.owner.request('POST', '/api/v1/contacts/ana/test', {})
    await shop.waitSent()
    await phone.deliver(shop.out.pushed[0] ?? {})
    expect(await shown(/test/i)).toMatchObject({ actions: ['It arrived'] })
    await phone.press('received')
    await waitFor('the proof', async () => {
      const telling = (await (await shop.owner.request('GET', '/api/v1/telling')).json()) as {
        contacts: { replyPathProvenMs: number | null }[]
      }
      return telling.contacts[0]?.replyPathProvenMs ?? null
    })

    await shop.liveUntil(FALL + 1, values)
    expect(told()).toEqual([
      'Mon 06:01 test',
      ...['Mon', 'Tue', 'Wed'].map((day) => `${day} 18:30 closingReminder`),
    ])
    expect(shop.out.hooks).toEqual([])

    // 02:12: within two minutes of the fall. Nobody answers; the next is called.
    await shop.liveUntil(FALL + 2, values)
    const [alarm] = shop.out.pushed.slice(4)
    expect(alarm).toMatchObject({ kind: 'alarm', title: 'Film printer: power lost while printing' })
    expect((alarm?.sentMs ?? Infinity) - (WINTER_START_MS + FALL * MIN)).toBeLessThanOrEqual(2 * MIN + 2_500)
    await shop.liveUntil(FALL + 13, values)
    expect(told()[4]).toBe('Thu 02:12 alarm')
    expect(kinds().slice(5)).toEqual(['reminder', 'reminder'])
    expect(shop.out.hooks.map((h) => h.type)).toEqual(['nightcap.notice.escalation'])

    // Ana wakes and presses the button on the locked screen.
    await phone.deliver(shop.out.pushed.at(-1) ?? {})
    expect(await shown(/power lost while printing/)).toMatchObject({ requireInteraction: true })
    await phone.press('acknowledge')
    await waitFor('the alarm to be taken on', async () => {
      const alarms = await shop.owner.alarms()
      return alarms.some((a) => a.condition === 'offItsCap' && a.state === 'acknowledged') ? true : null
    })
    await shown(/Nobody else is asked/)

    // The rest of the week.
    await shop.liveUntil(winterMinute(4, '20:00'), values)
    expect(kinds().slice(7)).toEqual(['over', 'morningReport', 'closingReminder', 'closingReminder'])
    expect(told().slice(8)).toEqual([
      'Thu 08:30 morningReport',
      'Thu 18:30 closingReminder',
      'Fri 18:30 closingReminder',
    ])
    expect(shop.out.hooks.map((h) => h.type)).toEqual(['nightcap.notice.escalation', 'nightcap.notice.over'])
    const report = shop.out.pushed.find((n) => n.kind === 'morningReport')
    expect(report?.body).toContain('Spare printer: power lost (03:10 to 03:30)')
    expect(report?.page).toBe('/morning')
    const others = shop.out.pushed.filter((n) => n.kind !== 'morningReport')
    expect(others.filter((n) => `${n.title} ${n.body}`.includes('Spare printer'))).toEqual([])
    // What the night asked for is over by itself; what is open are the week's routines.
    const closed = await shop.owner.tasks('closed')
    expect(new Set(closed.map((t) => t.state))).toEqual(new Set(['overByItself']))
    expect(closed.map((t) => t.title)).toEqual(
      expect.arrayContaining([
        'Bring the head of Film printer back onto its cap',
        'Find out why Spare printer is off',
      ]),
    )
    const open = (await shop.owner.tasks('open')).map((t) => t.title)
    expect(open.filter((title) => !/pinch rollers|encoder strip/.test(title))).toEqual([])
    // The spare waits for "Seen", and nobody was called for it.
    const spare = (await shop.owner.alarms()).filter((t) => t.title.startsWith('Spare printer'))
    expect(spare.map((a) => a.state)).toEqual(['returnedUnacknowledged'])
    expect(spare[0]?.urgency).not.toBe('now')
    await page.reload()
    await page.getByRole('heading', { name: 'Film printer' }).waitFor()
  })
})
