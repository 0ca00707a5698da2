import { connect, type Socket } from 'node:net'
import fc from 'fast-check'
import { taskSchema } from '../../services/core/model/task.ts'
import { afterEach, describe, expect, it } from 'vitest'
import type { Reading } from '../../services/core/model/input.ts'
import type { PersonRole } from '../../services/core/model/ports/accounts.ts'
import type { StreamLimits } from '../../services/web/event-stream.ts'
import { SESSION_IDLE_MS } from '../../services/web/auth/session.ts'
import { openEventClient, type EventClient } from '../parts/event-client.ts'
import { waitFor } from '../parts/wait-for.ts'
import { openWebShop, ORIGIN, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
let base = ''
const clients: EventClient[] = []
const sockets: Socket[] = []

async function open(streamLimits: Partial<StreamLimits> = {}): Promise<void> {
  shop = await openWebShop({ streamLimits })
  base = await shop.app.listen({ port: 0, host: '127.0.0.1' })
}
afterEach(async () => {
  clients.splice(0).forEach((c) => c.hangUp())
  sockets.splice(0).forEach((s) => s.destroy())
  await shop.close()
})

async function follow(headers: Record<string, string>): Promise<EventClient> {
  const client = await openEventClient(`${base}/api/v1/events`, headers)
  clients.push(client)
  return client
}
const followAs = (role: PersonRole | 'program', lastEventId?: string) =>
  follow({ ...shop.headersOf(role), ...(lastEventId === undefined ? {} : { 'last-event-id': lastEventId }) })

const until = (done: () => boolean | Promise<boolean>) =>
  waitFor('the stream to come so far', async () => ((await done()) ? true : null))

let sequence = 0
/** Records one event, as a commit of the monitor would, and tells the listeners. */
function happen(title = 'Roll 60'): void {
  sequence++
  shop.book.transaction(() => recordTask(title))
  shop.monitor.say([])
}
function recordTask(title: string): void {
  const task = taskSchema.parse({
    id: `task-${sequence}`,
    alarmId: 'a',
    subject: { kind: 'room' as const, id: 'floor' },
    title,
    why: '',
    steps: [],
    cautions: [],
    supplies: [],
    urgency: 'today' as const,
    state: 'open' as const,
    openedMs: sequence,
    closedMs: null,
    signedOff: null,
  })
  shop.book.applyEffects(sequence, [{ type: 'taskChanged', task, atMs: sequence }])
}
const reading = (n: number, value: number): Reading => ({
  sensorId: `bench/s${n}`,
  quantity: 'humidity',
  atMs: 1_800_000_000_000,
  value,
})
const ids = (client: EventClient) =>
  client.events.filter((e) => e.event !== 'latest').map((e) => Number(e.id))
const latestOf = (client: EventClient) =>
  client.events
    .filter((e) => e.event === 'latest')
    .map((e) => (JSON.parse(e.data) as { readings: Reading[] }).readings)
async function openStreams(): Promise<number> {
  const { body } = await shop.send('owner', { url: '/metrics' })
  return Number(/^nightcap_event_streams_open (\d+)$/m.exec(body)?.[1])
}

/** Opens a stream and never reads from it. */
async function openDeafClient(): Promise<void> {
  const { port, hostname } = new URL(base)
  const socket = connect(Number(port), hostname)
  sockets.push(socket)
  socket.on('error', () => undefined)
  socket.pause()
  const headers = { host: 'localhost', ...shop.headersOf('owner') }
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}`)
  const before = await openStreams()
  socket.write(`GET /api/v1/events HTTP/1.1\r\n${lines.join('\r\n')}\r\n\r\n`)
  await until(async () => (await openStreams()) === before + 1)
}

describe('event streams', () => {
  it('EVENT-1 wherever the line is cut, a client that resumes gets each event once and in order', async () => {
    await open()
    let resumedWithDebt = 0
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.record({ heard: fc.nat(6), missed: fc.nat(6) }), { minLength: 1, maxLength: 4 }),
        async (cuts) => {
          const from = shop.records.lastEventId()
          const got: number[] = []
          let lastEventId: string | undefined
          for (const { heard, missed } of cuts) {
            const owed = shop.records.lastEventId() - (lastEventId === undefined ? from : Number(lastEventId))
            const client = await followAs('owner', lastEventId)
            if (owed > 0) resumedWithDebt++
            for (let i = 0; i < heard; i++) happen()
            // Cut after at least one more, so that some of what was sent may be lost on the way.
            const least = Math.min(1, owed + heard)
            await until(() => ids(client).length >= least && client.lastEventId() !== '')
            client.hangUp()
            await client.ended
            got.push(...ids(client))
            lastEventId = client.lastEventId()
            for (let i = 0; i < missed; i++) happen()
          }
          const last = await followAs('owner', lastEventId)
          const newest = shop.records.lastEventId()
          await until(() => last.lastEventId() === String(newest))
          got.push(...ids(last))
          last.hangUp()
          await last.ended
          expect(got).toEqual(Array.from({ length: newest - from }, (_, i) => from + 1 + i))
        },
      ),
      { numRuns: 25 },
    )
    expect(resumedWithDebt).toBeGreaterThan(10)
  })

  it('EVENT-2 each kind comes under its name, with the id of what changed', async () => {
    await open()
    const client = await followAs('owner')
    happen('<b>bold</b>\nsecond line')
    await until(() => client.events.length === 1)
    expect(client.headers.get('content-type')).toBe('text/event-stream')
    expect(client.headers.get('cache-control')).toBe('no-store')
    expect(client.headers.get('content-security-policy')).toContain("frame-ancestors 'none'")
    expect(client.events[0]).toMatchObject({ event: 'task', id: String(shop.records.lastEventId()) })
    expect(JSON.parse(client.events[0]?.data ?? '')).toEqual({
      id: `task-${sequence}`,
      state: 'open',
      title: '<b>bold</b>\nsecond line',
    })
  })

  it('EVENT-3 readings are gathered: the newest of each sensor, not more often than agreed', async () => {
    await open({ latestEveryMs: 200 })
    const client = await followAs('owner')
    const began = performance.now()
    for (let i = 1; i <= 50; i++) shop.monitor.say([reading(i % 2, i)])
    await until(() => latestOf(client).length === 2)
    expect(performance.now() - began).toBeGreaterThanOrEqual(195)
    expect(latestOf(client)[0]).toEqual([reading(1, 1)])
    expect([...(latestOf(client)[1] ?? [])].sort((a, b) => a.value - b.value)).toEqual([
      reading(1, 49),
      reading(0, 50),
    ])
    expect(client.events.map((e) => e.id)).toEqual([client.lastEventId(), client.lastEventId()])
  })

  it('EVENT-4 a wall screen hears that something moved, and no values', async () => {
    await open()
    const viewer = await followAs('viewer')
    shop.monitor.say([reading(1, 41)])
    await until(() => viewer.events.length === 1)
    expect(latestOf(viewer)).toEqual([[]])
  })

  it('EVENT-5 a quiet stream is kept alive by comments', async () => {
    await open({ heartbeatMs: 20 })
    const client = await followAs('owner')
    await until(() => client.comments.length >= 3)
    expect(client.events).toEqual([])
  })

  it('EVENT-6 a client that does not read is cut once 256 kB wait for it; one that reads is not', async () => {
    await open({ latestEveryMs: 1 })
    await openDeafClient()
    const reader = await followAs('program')
    const many = Array.from({ length: 2000 }, (_, n) => reading(n, 1))
    await until(async () => {
      shop.monitor.say(many)
      return (await openStreams()) === 1
    })
    const seen = latestOf(reader).length
    shop.monitor.say(many)
    await until(() => latestOf(reader).length > seen)
  })

  it('EVENT-7 a client that takes nothing from one heartbeat to the next is cut, however little waits', async () => {
    await open({ heartbeatMs: 100 })
    const client = await followAs('program')
    await openDeafClient()
    const long = 'x'.repeat(20_000)
    await until(async () => {
      shop.book.transaction(() => {
        for (let i = 0; i < 50; i++) {
          sequence++
          recordTask(long)
        }
      })
      shop.monitor.say([])
      return (await openStreams()) === 1
    })
    // The other one got every event of it, though all together they are far more than may wait.
    await until(() => client.lastEventId() === String(shop.records.lastEventId()))
    expect(ids(client).length * 20_000).toBeGreaterThan(256 * 1024)
  })

  it('EVENT-8 a stream ends with its session: signed out, signed out everywhere, removed, run out', async () => {
    await open({ heartbeatMs: 20 })
    const [here, other] = [shop.headersOf('operator'), shop.headersOf('operator')]
    const [first, second, third] = [await follow(here), await follow(other), await followAs('technician')]
    const program = shop.headersOf('program')
    const fourth = await follow(program)
    const send = (method: 'DELETE', url: string, headers: Record<string, string>) =>
      shop.app.inject({ method, url: `/api/v1${url}`, headers: { origin: ORIGIN, ...headers } })
    await send('DELETE', '/session', here)
    await first.ended
    expect(await openStreams()).toBe(3)
    await send('DELETE', '/sessions', other)
    await second.ended
    await send('DELETE', '/programs/program-program', shop.headersOf('owner'))
    await fourth.ended
    await send('DELETE', '/people/person-technician', shop.headersOf('owner'))
    await third.ended
    const fifth = await followAs('viewer')
    shop.wait(SESSION_IDLE_MS)
    await fifth.ended
    expect(await openStreams()).toBe(0)
  })

  it('EVENT-9 a session has ten streams, the monitor a hundred; a closed one makes room', async () => {
    await open({ streams: 12 })
    const mine = shop.headersOf('owner')
    const own = await Promise.all(Array.from({ length: 10 }, () => follow(mine)))
    const eleventh = await follow(mine)
    expect([eleventh.status, eleventh.headers.get('content-type')]).toEqual([429, 'application/problem+json'])
    expect([(await followAs('viewer')).status, (await followAs('viewer')).status]).toEqual([200, 200])
    expect((await followAs('viewer')).status).toBe(503)
    own[0]?.hangUp()
    await until(async () => (await openStreams()) === 11)
    expect((await follow(mine)).status).toBe(200)
  })

  it('EVENT-10 an id that is none is refused; one from another book of record starts from now', async () => {
    await open()
    happen()
    const wrong = await followAs('owner', 'yesterday')
    expect([wrong.status, wrong.headers.get('content-type')]).toEqual([400, 'application/problem+json'])
    const future = await followAs('owner', '999999')
    happen()
    await until(() => future.events.length === 1)
    expect(ids(future)).toEqual([shop.records.lastEventId()])
  })

  it('EVENT-12 what came after a board is told to who follows from it, though it was before the line; a header counts more', async () => {
    await open()
    happen()
    const board = await shop.app.inject({ url: '/api/v1/board', headers: shop.headersOf('owner') })
    const known = Number(board.headers['last-event-id'])
    expect(known).toBe(shop.records.lastEventId())
    happen()
    happen()
    const after = `${base}/api/v1/events?after=${known}`
    const client = await openEventClient(after, shop.headersOf('owner'))
    const back = await openEventClient(after, {
      ...shop.headersOf('owner'),
      'last-event-id': String(known + 1),
    })
    clients.push(client, back)
    await until(() => client.events.length === 2 && back.events.length === 1)
    expect(ids(client)).toEqual([known + 1, known + 2])
    expect(ids(back)).toEqual([known + 2])
    const wrong = await shop.app.inject({
      url: '/api/v1/events?after=yesterday',
      headers: shop.headersOf('owner'),
    })
    expect(wrong.statusCode).toBe(400)
    expect(wrong.json<{ errors: { detail: string }[] }>().errors[0]?.detail).toContain('as it came')
  })

  it('EVENT-11 closing the app ends every stream, even to a client that does not read, and returns', async () => {
    await open({ latestEveryMs: 1 })
    const client = await followAs('owner')
    await openDeafClient()
    // And one connection on which nothing is ever asked, as browsers open them in advance.
    const silent = connect(Number(new URL(base).port), '127.0.0.1')
    sockets.push(silent)
    await new Promise((resolve) => silent.once('connect', resolve))
    shop.monitor.say(Array.from({ length: 2000 }, (_, n) => reading(n, 1)))
    await shop.app.close()
    await client.ended
    expect(shop.monitor.listeners()).toBe(0)
    expect(shop.app.server.listening).toBe(false)
  })
})
