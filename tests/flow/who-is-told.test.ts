import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { requireProgram } from '../parts/host.ts'
import { openNightShop, type NightShop } from '../parts/night-shop.ts'
import { waitFor } from '../parts/wait-for.ts'
import { FALL, powerFails, WINTER_START_MS, winterMinute, winterShop } from '../parts/winter-shop.ts'

/** From half past midnight on that night the story is told; minute 0 of it is this one. */
const EVENING = winterMinute(3, '00:30')
const MIN = 60_000
const MAIL = 'ana@night.example.org'

let shop: NightShop
const values = (backAt: number) => (minute: number) => powerFails(backAt)(minute + EVENING)
/** Minutes of the story. */
const fall = FALL - EVENING

async function open(): Promise<void> {
  shop = await openNightShop({
    startMs: WINTER_START_MS + EVENING * MIN,
    settings: (personId, out) =>
      winterShop({
        mail: { host: 'localhost', port: out.smtpPort, security: 'none', from: 'nightcap@example.org' },
        telling: { allowPrivateWebhooks: true },
        contacts: [
          { id: 'ana', title: 'Ana', personId, mail: MAIL, closingReminder: false },
          { id: 'relay', title: 'Night relay', webhookUrl: out.hookUrl, closingReminder: false },
        ],
      }),
  })
  await shop.addDevice()
}
beforeEach(async (context) => {
  requireProgram(context, 'openssl')
  await open()
}, 60_000)
afterEach(async () => {
  await shop?.close()
})

const answer = (url: string, body: object): Promise<Response> =>
  fetch(url, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
const kinds = () => shop.out.pushed.map((n) => n.kind)
const calling = async () => (await shop.owner.alarms()).find((a) => a.urgency === 'now')

/** A test notice to a contact, answered by its link. */
async function prove(contactId: string): Promise<void> {
  const before = shop.out.pushed.length
  expect((await shop.owner.request('POST', `/api/v1/contacts/${contactId}/test`, {})).ok).toBe(true)
  const test = await waitFor('the test to arrive', () => shop.out.pushed[before] ?? null)
  expect(test.kind).toBe('test')
  const page = await fetch(test.replyUrl ?? '')
  expect(await page.text()).toContain('It arrived')
  expect((await answer(test.replyUrl ?? '', { answer: 'received' })).status).toBe(204)
}
const provenMs = async (contactId: string): Promise<number | null | undefined> => {
  const telling = (await (await shop.owner.request('GET', '/api/v1/telling')).json()) as {
    contacts: { id: string; replyPathProvenMs: number | null }[]
  }
  return telling.contacts.find((c) => c.id === contactId)?.replyPathProvenMs
}

describe('who is told, from a reading to an answer', { timeout: 120_000 }, () => {
  it('a test that is answered by its link proves the way back', async () => {
    await shop.liveUntil(1, values(fall))
    expect(await provenMs('ana')).toBeNull()
    await prove('ana')
    expect(await provenMs('ana')).toBe(shop.nowMs())
  })

  it('a night alarm leaves by push and mail, goes on to the next by webhook, and ends with an answer', async () => {
    await shop.liveUntil(1, values(FALL + 55))
    await prove('ana')
    await shop.waitSent()
    shop.out.pushed.length = 0
    shop.out.letters.length = 0
    await shop.liveUntil(fall + 1, values(FALL + 55))
    expect(kinds()).toEqual([])
    await shop.liveUntil(fall + 2, values(FALL + 55))
    expect(shop.out.pushed).toMatchObject([
      { kind: 'alarm', title: 'Film printer: power lost while printing' },
    ])
    expect(shop.out.pushed[0]?.sentMs).toBeLessThan(shop.nowMs() + 1)
    expect(shop.out.letters).toHaveLength(1)
    expect(shop.out.letters[0]).toContain('Subject: Film printer: power lost while printing')
    expect(shop.out.letters[0]?.replace(/=\r?\n/g, '')).toContain('/r/')
    expect(shop.out.hooks).toEqual([])
    // Nobody answers: a reminder, then the next.
    await shop.liveUntil(fall + 13, values(FALL + 55))
    expect(kinds()).toEqual(['alarm', 'reminder', 'reminder'])
    expect(shop.out.hooks).toMatchObject([
      {
        type: 'nightcap.notice.escalation',
        title: 'Nobody answered: Film printer: power lost while printing',
      },
    ])
    const { replyUrl } = shop.out.pushed.at(-1) ?? {}
    expect((await answer(replyUrl ?? '', { answer: 'acknowledge' })).status).toBe(204)
    expect(await calling()).toMatchObject({ state: 'acknowledged' })
    await shop.liveUntil(fall + 54, values(FALL + 55))
    expect(kinds()).toHaveLength(3)
    await shop.liveUntil(fall + 59, values(FALL + 55))
    expect(kinds().slice(3)).toEqual(['over'])
    expect(shop.out.hooks.slice(1)).toMatchObject([{ type: 'nightcap.notice.over' }])
    expect(shop.out.letters.at(-1)).toContain('Subject: Over: Film printer: power lost while printing')
  })

  it('a device that is gone is taken away, and the other ways go on', async () => {
    shop.out.answerPush(410)
    await shop.liveUntil(fall + 2, values(FALL + 55))
    expect(shop.out.letters).toHaveLength(1)
    const devices = (await (await shop.owner.request('GET', '/api/v1/devices')).json()) as { devices: [] }
    expect(devices.devices).toEqual([])
    expect(await shop.attempts()).toContainEqual(
      expect.objectContaining({ channel: 'push', outcome: 'dead' }),
    )
    shop.out.answerPush(201)
    await shop.liveUntil(fall + 8, values(FALL + 55))
    expect(kinds()).toEqual([])
    expect(shop.out.letters).toHaveLength(2)
  })

  it('a way that was down for hours tells each thing that it missed once, together where it can', async () => {
    shop.out.answerPush(503)
    shop.waitsForSent(false)
    await shop.owner.request('POST', '/api/v1/contacts/ana/test', {})
    await shop.liveUntil(fall + 180, values(FALL + 55))
    await waitFor('a try that failed', async () => {
      return (await shop.attempts()).some((a) => a.channel === 'push' && a.outcome === 'later') ? true : null
    })
    expect(shop.out.pushed).toEqual([])
    shop.out.answerPush(201)
    for (let n = 0; n < 8 && shop.out.pushed.length === 0; n++)
      await shop.liveUntil(fall + 181 + n, values(FALL + 55))
    await shop.waitSent()
    await shop.liveUntil(fall + 200, values(FALL + 55))
    // What is due at the same time goes as one; after hours of tries one may come due a little before the other.
    const telling = (text: string) => shop.out.pushed.filter((p) => `${p.title} ${p.body}`.includes(text))
    expect(telling('Over: Film printer: power lost while printing')).toHaveLength(1)
    expect(telling('A test from')).toHaveLength(1)
    expect(shop.out.pushed.every((p) => p.replyUrl === null)).toBe(true)
    if (shop.out.pushed.length === 1)
      expect(shop.out.pushed[0]).toMatchObject({ title: '2 notices came late', topic: 'summary' })
  })

  it('no secret, token or address stands in the log', async () => {
    const secret = (await (
      await shop.owner.request('POST', '/api/v1/contacts/relay/webhook-secret', {})
    ).json()) as { secret: string }
    const password = 'a mail password of the test'
    await shop.owner.request('PUT', '/api/v1/telling/mail-password', { password })
    await shop.liveUntil(1, values(FALL + 55))
    await prove('ana')
    shop.out.answerHook(503)
    shop.waitsForSent(false)
    await shop.liveUntil(fall + 13, values(FALL + 55))
    await waitFor('a failed try', async () =>
      (await shop.attempts()).some((a) => a.outcome === 'later') ? true : null,
    )
    const tokens = shop.out.pushed.flatMap(({ replyUrl }) => replyUrl?.split('/r/')[1] ?? [])
    expect(tokens.length).toBeGreaterThan(1)
    const { endpoint, keys } = shop.out.subscription
    await answer(shop.out.pushed.at(-1)?.replyUrl ?? '', { answer: 'snooze', minutes: 15 })
    const secrets = [
      ...tokens,
      secret.secret,
      secret.secret.replace('whsec_', ''),
      password,
      keys.auth,
      keys.p256dh,
      new URL(endpoint).pathname,
      new URL(shop.out.hookUrl).pathname,
      MAIL,
      'a long enough password',
    ]
    const places = { log: shop.log(), attempts: JSON.stringify(await shop.attempts()) }
    expect(places.log).toContain('/r/')
    for (const [place, text] of Object.entries(places))
      for (const one of secrets)
        expect({ place, one, found: text.includes(one) }).toMatchObject({ found: false })
  })
})
