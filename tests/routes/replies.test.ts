import { randomBytes } from 'node:crypto'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { alarm, noticeOf } from '../contracts/record-samples.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
let path = ''
const ALARM = 'alarm dry'
const FORM = { 'content-type': 'application/x-www-form-urlencoded', origin: 'null' }
const linkOf = (change: Parameters<typeof noticeOf>[0] = {}): string =>
  new URL(shop.telling.replyUrlOf(noticeOf({ alarmId: ALARM, ...change })) ?? '').pathname
const shown = async (from = path) => shop.app.inject({ url: from })

beforeEach(async () => {
  shop = await openWebShop()
  const contacts = [
    { id: 'first', title: 'Night', personId: 'person-operator', webhookUrl: 'https://a.example.net/' },
  ]
  await shop.send('owner', {
    method: 'PUT',
    url: '/api/v1/settings',
    payload: { ...testSettings(), contacts },
  })
  shop.headersOf('operator')
  shop.monitor.submitted.length = 0
  shop.book.transaction(() =>
    shop.book.applyEffects(1, [
      { type: 'alarmChanged', alarm: alarm(ALARM, { cause: '<b>Dry</b> air' }), atMs: 1 },
    ]),
  )
  path = linkOf()
})
afterEach(() => shop.close())

describe('answers by link', () => {
  it('REPLY-1 GET, HEAD and OPTIONS change nothing; the page has buttons and no script', async () => {
    for (const method of ['GET', 'HEAD', 'OPTIONS'] as const) await shop.app.inject({ method, url: path })
    expect(shop.monitor.submitted).toEqual([])
    const page = await shown()
    expect(page.statusCode).toBe(200)
    expect(page.body).toContain('I&#39;m on it')
    expect(page.body.match(/Ask me again in/g)).toHaveLength(3)
    expect(page.body).toContain('&lt;b&gt;Dry')
    expect(page.body).not.toMatch(/<script|style=|<b>/)
    expect((await shown('/r/look.css')).headers['content-type']).toMatch(/text\/css/)
  })
  it('REPLY-2 a form from any page acts as the person, and proves the way back', async () => {
    const answer = await shop.app.inject({
      method: 'POST',
      url: path,
      headers: FORM,
      payload: 'answer=acknowledge',
    })
    expect(answer.statusCode).toBe(200)
    expect(answer.body).toContain('You are on it')
    expect(shop.monitor.submitted).toMatchObject([
      { type: 'alarmAcknowledged', alarmId: ALARM, act: { actorId: 'person-operator', via: 'phone' } },
      { type: 'replyPathProven', contactId: 'first' },
    ])
  })
  it('REPLY-2 JSON snoozes for 15, 30 or 60 minutes and no other', async () => {
    const snooze = (minutes: number) =>
      shop.app.inject({ method: 'POST', url: path, payload: { answer: 'snooze', minutes } })
    expect((await snooze(30)).statusCode).toBe(204)
    expect(shop.monitor.submitted[0]).toMatchObject({
      ...{ type: 'alarmSnoozed', contactId: 'first', untilMs: shop.monitor.nowMs() + 1_800_000 },
    })
    expect((await snooze(45)).statusCode).toBe(422)
  })
  it('REPLY-2 a test takes "received" alone; a refusal is told calmly', async () => {
    const test = linkOf({ alarmId: null, key: 'test|1|first' })
    const send = (answer: string) => shop.app.inject({ method: 'POST', url: test, payload: { answer } })
    expect((await send('received')).statusCode).toBe(204)
    expect((await send('acknowledge')).statusCode).toBe(422)
    shop.monitor.answer({ ok: false, code: 'conflict', reason: 'somebody is already on it' })
    const late = await shop.app.inject({
      method: 'POST',
      url: path,
      headers: FORM,
      payload: 'answer=acknowledge',
    })
    expect(late.statusCode).toBe(409)
    expect(late.body).toContain('somebody is already on it')
  })
  it('REPLY-3 an unknown or old link says so, with the cure, and does nothing', async () => {
    expect(await shown('/r/nobody-knows-it')).toMatchObject({ statusCode: 404 })
    const link = { contactId: 'first', alarmId: ALARM, noticeKey: 'old', expiresMs: shop.monitor.nowMs() }
    const { createHash } = await import('node:crypto')
    shop.notices.putReplyLink({ ...link, tokenHash: createHash('sha256').update('old').digest('hex') })
    const old = await shop.app.inject({ method: 'POST', url: '/r/old', payload: { answer: 'acknowledge' } })
    expect(problemOf(old)).toMatchObject({ status: 410, title: 'This link is too old' })
    expect(shop.monitor.submitted).toEqual([])
  })
  it('the same notice has the same link, and only its hash is kept', () => {
    expect(linkOf()).toBe(path)
    expect(linkOf({ contactId: 'second' })).not.toBe(path)
    expect(shop.telling.replyLink(path.slice(3))?.tokenHash).not.toContain(path.slice(3))
  })
  it('an address has 30 tries a minute', async () => {
    for (let n = 0; n < 30; n++) await shown('/r/guess')
    expect((await shown('/r/guess')).statusCode).toBe(429)
  })
})

describe('telling and devices', () => {
  const subscription = (host = 'push.example.net') => ({
    endpoint: `https://${host}/one`,
    keys: { p256dh: randomBytes(65).toString('base64url'), auth: randomBytes(16).toString('base64url') },
  })
  it('a device is listed for its person, shown under its contact, and taken away by nobody else', async () => {
    const payload = { title: 'My phone', subscription: subscription() }
    const added = await shop.send('operator', { method: 'POST', url: '/api/v1/devices', payload })
    expect(added.statusCode).toBe(201)
    const { id } = added.json<{ id: string }>()
    const url = `/api/v1/devices/${id}`
    expect((await shop.send('technician', { method: 'DELETE', url })).statusCode).toBe(404)
    const view = (await shop.send('owner', { url: '/api/v1/telling' })).json<{
      contacts: unknown[]
      problems: string[]
    }>()
    expect(view.contacts).toMatchObject([
      { id: 'first', devices: [{ id, title: 'My phone' }], webhookSecretSet: false },
    ])
    expect((await shop.send('operator', { method: 'DELETE', url })).statusCode).toBe(204)
  })
  it('a subscription that no browser gives is refused, naming the field', async () => {
    const payload = { title: 'x', subscription: { ...subscription(), endpoint: 'http://push.example.net/' } }
    const refused = await shop.send('operator', { method: 'POST', url: '/api/v1/devices', payload })
    expect(problemOf(refused).errors?.[0]?.pointer).toBe('/subscription/endpoint')
  })
  it('secrets are kept sealed, shown once or never, and stand in no log', async () => {
    const payload = { password: 'a mail secret' }
    await shop.send('owner', { method: 'PUT', url: '/api/v1/telling/mail-password', payload })
    const made = await shop.send('owner', { method: 'POST', url: '/api/v1/contacts/first/webhook-secret' })
    const { secret } = made.json<{ secret: string }>()
    expect(shop.telling.mailPassword()).toEqual({ ok: true, value: 'a mail secret' })
    expect(shop.telling.webhookSecret('first')).toEqual({ ok: true, value: secret })
    const view = await shop.send('owner', { url: '/api/v1/telling' })
    const kept = shop.notices.sealedNames().map((name) => shop.notices.sealedSecret(name))
    for (const text of [view.body, shop.log(), JSON.stringify(kept)]) {
      expect(text).not.toContain('a mail secret')
      expect(text).not.toContain(secret)
    }
    expect(shop.log()).not.toContain(path.slice(3))
  })
})
