import { describe, expect, it } from 'vitest'
import {
  heardMsOf,
  isKeptPath,
  changesWhoIsIn,
  HEARD_HEADER,
} from '../../../dashboards/src/phone/kept-answers.ts'
import {
  notificationOf,
  payloadOf,
  replyBody,
  replyWords,
} from '../../../dashboards/src/phone/push-payload.ts'
import type { Unsent } from '../../../dashboards/src/phone/unsent.ts'
import {
  asksAgain,
  fateOf,
  isLoggable,
  isSaidAlready,
  nextToSend,
  waitingTick,
} from '../../../dashboards/src/phone/unsent.ts'
import { createUnsentModel } from '../../../dashboards/src/models/unsent-model.ts'
import { toFailure, UNREACHABLE, type Answer } from '../../../dashboards/src/api/answer.ts'
import { ABILITIES, ABILITY_WORDS, noticeAbility } from '../../../dashboards/src/phone/notice-ability.ts'
import { isThisComputerOnly, linkOf, qrPath } from '../../../dashboards/src/phone/qr-path.ts'
import { createPhoneModel } from '../../../dashboards/src/models/phone-model.ts'
import { unsentLabel } from '../../../dashboards/src/words/unsent-words.ts'
import { NOTICE_KINDS } from '../../../services/core/model/notice.ts'

const T0 = 1_800_000_000_000
const HOUR = 3_600_000
const CARE = '/api/v1/machines/roll/care'
const TICK = '/api/v1/closing/steps/cap'
const ACK = '/api/v1/alarms/a%7C1/acknowledgement'
const entry = (key: string, change: Partial<Unsent> = {}): Unsent => ({
  key,
  path: ACK,
  body: null,
  personId: 'mira',
  saidMs: T0,
  label: key,
  refusal: null,
  ...change,
})

describe('what a device keeps', () => {
  it('KEEP-1 the board, tasks, closing, morning and who is in; nothing that may hold a secret', () => {
    expect(['board', 'tasks', 'closing', 'morning', 'session'].every((n) => isKeptPath(`/api/v1/${n}`))).toBe(
      true,
    )
    for (const name of ['nodes', 'people', 'settings', 'telling', 'devices', 'tasks/1', 'events'])
      expect(isKeptPath(`/api/v1/${name}`), name).toBe(false)
  })

  it('KEEP-2 signing in, out and out everywhere change who is in; reading who is does not', () => {
    const changes = (method: string, path: string) => changesWhoIsIn(method, `/api/v1/${path}`)
    expect([
      changes('DELETE', 'session'),
      changes('DELETE', 'sessions'),
      changes('POST', 'session/link'),
    ]).toEqual([true, true, true])
    expect([changes('GET', 'session'), changes('POST', 'sessionless')]).toEqual([false, false])
  })

  it('KEEP-4 an age that is no number is none', () => {
    const of = (value: string | null) => heardMsOf({ get: (name) => (name === HEARD_HEADER ? value : null) })
    expect([of('123'), of('x'), of(null)]).toEqual([123, null, null])
  })
})

describe('what waits to be sent', () => {
  it('UNSENT-1 what people log may wait; what sets up or holds a secret may not', () => {
    for (const path of [
      CARE,
      ACK,
      TICK,
      ...[
        'nozzle-checks',
        'cleanings',
        'log-notes',
        'head-changes',
        'symptoms',
        'disposals',
        'tasks/t%2F1/sign-off',
      ].map((p) => `/api/v1/${p}`),
    ])
      expect(isLoggable(path), path).toBe(true)
    for (const path of [
      'nodes',
      'people',
      'session',
      'quiet',
      'machines/a/b/care',
      'nozzle-checks/1',
      'logbook/import',
      'closing/finish',
      'disposals/1',
    ])
      expect(isLoggable(`/api/v1/${path}`), path).toBe(false)
    expect(isLoggable('/machines/roll/care')).toBe(false)
  })

  it('UNSENT-2 a cleaning asks again after half an hour, an answer to an alarm after twelve', () => {
    const asks = (path: string, ageMs: number) => asksAgain({ path, saidMs: T0 }, T0 + ageMs)
    expect([asks(CARE, HOUR / 2), asks(CARE, HOUR / 2 + 1)]).toEqual([false, true])
    expect([asks(ACK, 12 * HOUR), asks(ACK, 12 * HOUR + 1)]).toEqual([false, true])
    expect([asks(TICK, 2 * HOUR), asks(TICK, 2 * HOUR + 1)]).toEqual([false, true])
    expect([asks('/api/v1/disposals', 7 * 24 * HOUR), asks('/api/v1/symptoms', 13 * HOUR)]).toEqual([
      false,
      true,
    ])
  })

  it('UNSENT-3 first said goes first; what was refused or asks again holds nobody up', () => {
    const list = [
      entry('old', { saidMs: T0 - 13 * HOUR }),
      entry('no', { refusal: 'x' }),
      entry('a'),
      entry('b'),
    ]
    expect(nextToSend(list, T0)?.key).toBe('a')
    expect(nextToSend(list.slice(0, 2), T0)).toBeNull()
  })

  it('UNSENT-4 the same words twice are one, unless the first were refused', () => {
    const body = { care: 'cleaned' }
    expect(isSaidAlready([entry('a', { path: CARE, body })], { path: CARE, body: { care: 'cleaned' } })).toBe(
      true,
    )
    expect(isSaidAlready([entry('a', { path: CARE, body })], { path: CARE, body: { care: 'printed' } })).toBe(
      false,
    )
    expect(isSaidAlready([entry('a', { path: CARE, body, refusal: 'x' })], { path: CARE, body })).toBe(false)
    const back = entry('b', { path: CARE, body: { care: 'printed' } })
    expect(isSaidAlready([entry('a', { path: CARE, body }), back], { path: CARE, body })).toBe(false)
  })

  it('UNSENT-7 of a closing step the last words about this machine count', () => {
    const tick = (key: string, machineId: string | null, done: boolean, change: Partial<Unsent> = {}) =>
      entry(key, { path: TICK, body: { machineId, done }, ...change })
    const list = [tick('a', 'roll', true), tick('b', 'roll', false), tick('c', 'flat', true)]
    const of = (machineId: string | null, id = 'cap') => waitingTick(list, { id, machineId })
    expect([of('roll'), of('flat'), of(null), of('roll', 'other')]).toEqual([false, true, null, null])
    expect(
      waitingTick([tick('a', 'roll', true, { refusal: 'x' })], { id: 'cap', machineId: 'roll' }),
    ).toBeNull()
  })

  it('UNSENT-5 only an answer about the words themselves refuses them', () => {
    expect([204, 201].map(fateOf)).toEqual(['sent', 'sent'])
    expect([0, 401, 429, 500, 503].map(fateOf)).toEqual(['later', 'later', 'later', 'later', 'later'])
    expect([400, 403, 404, 409, 422].map(fateOf)).toEqual(Array(5).fill('refused'))
  })

  it('UNSENT-6 labels say what and where in words', () => {
    const titles = {
      machine: (id: string) => (id === 'roll' ? 'Roll 60' : undefined),
      task: () => undefined,
      alarm: () => 'Head off its cap',
      step: () => 'The head is capped',
      bottle: (id: string) => (id === 'left' ? 'Waste bottle' : undefined),
    }
    const label = (path: string, body: unknown) => unsentLabel({ path, body }, titles)
    expect(label(ACK, null)).toBe("I'm on it: Head off its cap")
    expect(label(CARE, { care: 'cleaned' })).toBe('Roll 60: the heads were cleaned')
    expect(label('/api/v1/machines/roll/cap', { capped: false })).toBe('Roll 60: the head is off its cap')
    expect(label('/api/v1/tasks/1/sign-off', {})).toBe('Signed off')
    expect(label(TICK, { machineId: 'roll', done: true })).toBe('Closing, done: The head is capped, Roll 60')
    expect(label(TICK, { machineId: null, done: false })).toBe('Closing, taken back: The head is capped')
    expect(label('/api/v1/symptoms', { machineId: 'roll' })).toBe('A task of what was seen: Roll 60')
    expect(label('/api/v1/disposals', { volumeMl: 2500, bottleId: 'left' })).toBe(
      'Disposal, 2.5 L: Waste bottle',
    )
    expect(label('/api/v1/disposals', { volumeMl: 2000, bottleId: null })).toBe('Disposal, 2 L')
    expect(label('/api/v1/nozzle-checks', { machineId: 'roll' })).toBe('Nozzle check: Roll 60')
    expect(label('/api/v1/cleanings', { machineId: 'roll' })).toBe('Cleaning: Roll 60')
    expect(label('/api/v1/head-changes', { machineId: 'roll' })).toBe('New head: Roll 60')
    expect(label('/api/v1/log-notes', { text: 'a new roll of film' })).toBe('Note: a new roll of film')
  })
})

/** A shop that answers as it is told, and a device that keeps. */
function device(answers: (Answer<unknown> | 'taken')[]) {
  const kept = new Map<string, Unsent>()
  const posted: string[] = []
  let nowMs = T0
  const model = createUnsentModel({
    store: {
      all: async () => [...kept.values()],
      put: async (e) => void kept.set(e.key, e),
      remove: async (key) => void kept.delete(key),
    },
    post: async ({ key }) => {
      posted.push(key)
      const next = answers.shift() ?? 'taken'
      return next === 'taken' ? { ok: true, value: null } : next
    },
    label: ({ path }) => path,
    nowMs: () => nowMs,
    onSent: () => undefined,
  })
  return { model, kept, posted, go: (ms: number) => void (nowMs += ms) }
}
const DEAD = { ok: false, failure: UNREACHABLE } as const
const said = (key: string, path = ACK, body: unknown = { n: key }) => ({ key, path, body })

describe('the queue of a device', () => {
  it('QUEUE-1 sends in order, stops at a dead line, and goes on where it stopped', async () => {
    const { model, posted, kept } = device(['taken', DEAD])
    await model.begin('mira')
    for (const key of ['a', 'b', 'c']) expect(await model.keep(said(key))).toBe(true)
    expect(model.waiting.value).toBe(3)
    await model.send()
    expect([posted, model.waiting.value]).toEqual([['a', 'b'], 2])
    await model.send()
    expect(posted).toEqual(['a', 'b', 'b', 'c'])
    expect([model.entries.value, kept.size]).toEqual([[], 0])
  })

  it('QUEUE-2 a refusal stays with its cure until it is read, and holds up nobody', async () => {
    const refused = {
      ok: false,
      failure: toFailure(409, { title: 'Too late for that', detail: 'it is over' }),
    } as const
    const { model, posted } = device([refused])
    await model.begin('mira')
    await model.keep(said('a'))
    await model.keep(said('b'))
    await model.send()
    expect(posted).toEqual(['a', 'b'])
    expect(model.entries.value.map((e) => e.refusal)).toEqual(['Too late for that. It is over.'])
    expect(model.waiting.value).toBe(0)
    await model.send()
    expect(posted).toEqual(['a', 'b'])
    await model.drop('a')
    expect(model.entries.value).toEqual([])
  })

  it('QUEUE-3 two calls at once send each thing once', async () => {
    const { model, posted } = device([])
    await model.begin('mira')
    await model.keep(said('a'))
    await Promise.all([model.send(), model.send()])
    expect(posted).toEqual(['a'])
  })

  it('QUEUE-4 what is too old waits for a person, and is sent as said now', async () => {
    const { model, posted, go } = device([])
    await model.begin('mira')
    await model.keep(said('a', CARE))
    go(31 * 60_000)
    await model.send()
    expect(posted).toEqual([])
    expect(model.entries.value.map(model.asksAgain)).toEqual([true])
    await model.sayAgain('a')
    expect([posted, model.entries.value]).toEqual([['a'], []])
  })

  it('QUEUE-5 what one person left is not shown to the next, nor sent in their name', async () => {
    const { model, posted } = device([])
    await model.begin('mira')
    await model.keep(said('a'))
    model.forget()
    expect(await model.keep(said('b'))).toBe(false)
    await model.begin('ben')
    await model.send()
    expect([posted, model.entries.value]).toEqual([[], []])
    await model.begin('mira')
    await model.send()
    expect(posted).toEqual(['a'])
  })

  it('QUEUE-6 signing out drops what is left', async () => {
    const { model, kept } = device([])
    await model.begin('mira')
    await model.keep(said('a'))
    await model.dropAll()
    expect([model.waiting.value, kept.size]).toEqual([0, 0])
  })
})

const PAYLOAD = {
  key: 'n1',
  kind: 'alarm',
  title: 'Roll 60: head off its cap',
  body: 'It has stood open for 20 min.',
  page: '/',
  topic: 'alarm a1',
  replyUrl: 'https://shop.example.org/r/token',
  sentMs: T0,
} as const

describe('a notice on the device', () => {
  it('PUSH-1 what is no notice of ours is told apart', () => {
    expect(payloadOf(JSON.stringify(PAYLOAD))).toEqual(PAYLOAD)
    const bad = ['', 'null', '[]', '{}', '{"kind":"alarm"}', JSON.stringify({ ...PAYLOAD, kind: 'toString' })]
    expect(bad.map(payloadOf)).toEqual(bad.map(() => null))
    expect(payloadOf(JSON.stringify({ ...PAYLOAD, replyUrl: undefined }))?.replyUrl).toBeNull()
  })

  it('PUSH-2 PUSH-3 one topic is one notification; alarms knock again and stay', () => {
    const knocks = NOTICE_KINDS.filter((kind) => {
      const { options } = notificationOf({ ...PAYLOAD, kind })
      expect(options.tag).toBe('alarm a1')
      return options.requireInteraction && options.renotify
    })
    expect(knocks).toEqual(['alarm', 'reminder', 'escalation'])
  })

  it('PUSH-4 buttons stand there only where an answer can reach the shop', () => {
    const buttons = (change: object) =>
      notificationOf({ ...PAYLOAD, ...change }).options.actions.map((a) => a.title)
    expect(buttons({})).toEqual(["I'm on it", 'Snooze 15 min'])
    expect(buttons({ kind: 'test' })).toEqual(['It arrived'])
    expect(buttons({ replyUrl: null })).toEqual([])
    expect(replyBody('snooze')).toEqual({ answer: 'snooze', minutes: 15 })
    expect(replyBody('acknowledge')).toEqual({ answer: 'acknowledge' })
  })

  it('PUSH-5 an answer is told as taken, or with what to do', () => {
    expect(replyWords('acknowledge', { status: 204, detail: '' }).body).toBe('Noted. Nobody else is asked.')
    expect(replyWords('acknowledge', { status: 0, detail: '' }).title).toBe('Your answer did not arrive')
    expect(replyWords('snooze', { status: 410, detail: '' }).body).toMatch(/too old.*open the board/)
    expect(replyWords('snooze', { status: 409, detail: 'it is over' }).body).toBe('it is over')
  })
})

const ABLE = {
  isSecure: true,
  hasWorker: true,
  hasPush: true,
  isOnHomeScreen: null,
  permission: 'granted',
  isSubscribed: true,
} as const

describe('whether notices can come', () => {
  it('ABLE-1 the first thing in the way is told, in the order in which it can be mended', () => {
    const of = (change: object) => noticeAbility({ ...ABLE, ...change })
    expect(of({})).toBe('on')
    expect(of({ isSubscribed: false })).toBe('ready')
    expect(of({ permission: 'default' })).toBe('ready')
    expect(of({ permission: 'denied' })).toBe('denied')
    expect(of({ permission: 'denied', hasPush: false })).toBe('notSupported')
    expect(of({ hasPush: false, isOnHomeScreen: false })).toBe('needsHomeScreen')
    expect(of({ isSecure: false, isOnHomeScreen: false, hasWorker: false })).toBe('notSecure')
  })

  it('ABLE-2 every one has a sentence and what to do', () => {
    for (const ability of ABILITIES) {
      expect(ABILITY_WORDS[ability].title, ability).toMatch(/^[A-Z]/)
      expect(ABILITY_WORDS[ability].todo, ability).toMatch(/[.]$/)
    }
  })

  it('ABLE-4 a subscription that the shop does not know counts as none; allowing makes it known', async () => {
    const known: { id: string; title: string; createdMs: number; lastOkMs: null }[] = []
    const added: unknown[] = []
    let id: string | null = 'gone'
    const phone = createPhoneModel(
      {
        devices: async () => ({ ok: true, value: { devices: known } }),
        addDevice: async (given) => {
          added.push(given)
          known.push({ id: 'd1', title: given.title, createdMs: T0, lastOkMs: null })
          return { ok: true, value: { id: 'd1' } }
        },
        removeDevice: async () => ({ ok: true, value: known.splice(0) }),
        pushKey: async () => ({ ok: true, value: { key: 'key' } }),
        testContact: async () => ({ ok: true, value: null }),
      },
      {
        means: async () => ABLE,
        subscribe: async () => ({ endpoint: 'https://push.example.org/1', keys: { p256dh: 'p', auth: 'a' } }),
        unsubscribe: async () => undefined,
        knownAs: { read: () => id, write: (next) => void (id = next) },
        usualName: 'phone',
      },
    )
    await phone.load()
    expect(phone.ability.value).toBe('ready')
    await phone.allow('Mira, phone')
    expect([phone.ability.value, phone.thisId.value, added.length]).toEqual(['on', 'd1', 1])
    await phone.stop('d1')
    expect([phone.ability.value, id]).toEqual(['ready', null])
  })
})

describe('a code to scan', () => {
  it('SCAN-3 runs of dark modules are bars within the quiet zone', () => {
    expect(qrPath({ size: 3, data: [1, 1, 0, 0, 0, 0, 0, 0, 1] })).toBe('M4 4h2v1h-2zM6 6h1v1h-1z')
  })

  it('SCAN-4 the public address goes before that of the page; loopback is of no use to a phone', () => {
    const path = '/#sign-in=x'
    expect(linkOf(path, { publicUrl: 'https://s.example.org/', origin: 'http://a' })).toBe(
      'https://s.example.org/#sign-in=x',
    )
    expect(linkOf(path, { publicUrl: null, origin: 'http://127.0.0.1:8080' })).toBe(
      'http://127.0.0.1:8080/#sign-in=x',
    )
    expect(['http://localhost/', 'http://127.0.0.2:1/', 'http://[::1]/'].map(isThisComputerOnly)).toEqual([
      true,
      true,
      true,
    ])
    expect(isThisComputerOnly('https://shop.example.org/')).toBe(false)
  })
})
