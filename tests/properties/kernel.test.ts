import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Episode } from '../../services/core/model/episode.ts'
import type { InputBody, Reading } from '../../services/core/model/input.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import {
  episodeFacts,
  liveThrough,
  packInput,
  replayLog,
  settingsInput,
  type Arrival,
} from '../parts/kernel-run.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'
import { testSettings } from '../parts/shop-settings.ts'

const MIN = 60_000
// Wednesday 25 November 2026, 16:30 in Brussels: the runs pass closing time at 18:00.
const START = Date.parse('2026-11-25T15:30:00Z')
const STEPS = 150
const END = START + (STEPS + 90) * MIN

/** A value that holds for some minutes, then jumps: long stretches are what opens and closes a condition. */
const stretches = (values: readonly number[]) =>
  fc.array(fc.tuple(fc.constantFrom(...values), fc.integer({ min: 1, max: 40 })), {
    minLength: 3,
    maxLength: 12,
  })

const world = fc.record({
  humidity: stretches([36, 39, 39.9, 41, 43, 48]),
  /** A second sensor in the room, on a node of its own: its readings tie with the first one's in time. */
  corner: stretches([37, 39, 41, 44]),
  powered: stretches([0, 1, 1]),
  mass: stretches([0.9, 1.7, 1.85, 1.9]),
  /** Minutes by which each pack comes late; most come at once. */
  lateness: fc.array(fc.oneof({ weight: 4, arbitrary: fc.constant(0) }, fc.integer({ min: 1, max: 80 })), {
    minLength: 20,
    maxLength: 20,
  }),
  /** Packs lost for good leave holes longer than a reading stands for. */
  lost: fc.array(fc.integer({ min: 0, max: STEPS }), { maxLength: 6 }),
  settingsAt: fc.option(fc.integer({ min: 5, max: STEPS }), { nil: null }),
})
type World = typeof world extends fc.Arbitrary<infer T> ? T : never

function valueAt(parts: readonly (readonly [number, number])[], minute: number): number {
  let at = 0
  for (const [value, length] of parts) {
    at += length
    if (minute < at) return value
  }
  return parts.at(-1)?.[0] ?? 0
}

function readingsAt(w: World, minute: number): Reading[] {
  const atMs = START + minute * MIN
  return [
    { sensorId: 'bench/humidity', quantity: 'humidity', atMs, value: valueAt(w.humidity, minute) },
    { sensorId: 'bench/powered', quantity: 'powered', atMs, value: valueAt(w.powered, minute) },
    { sensorId: 'bench/bottle', quantity: 'mass', atMs, value: valueAt(w.mass, minute) },
  ]
}

function cornerAt(w: World, minute: number): Reading[] {
  return [
    {
      sensorId: 'a-corner/humidity',
      quantity: 'humidity',
      atMs: START + minute * MIN,
      value: valueAt(w.corner, minute),
    },
  ]
}

const CORNER = {
  id: 'a-corner/humidity',
  quantity: 'humidity',
  subject: { kind: 'room', id: 'floor' },
  intervalMs: MIN,
}
const CONTACTS = ['lena', 'bo'].map((id) => ({ id, title: id, mail: `${id}@example.org` }))
const shop = (change: Record<string, unknown> = {}) =>
  testSettings({ sensors: [...testSettings().sensors, CORNER], contacts: CONTACTS, ...change })

/** The same packs, in the order of their making or in the order in which lateness lets them arrive. */
function arrivalsOf(w: World, late: boolean): Arrival[] {
  const arrivals: Arrival[] = [{ receivedMs: START - 1, body: settingsInput(shop(), START - 1) }]
  for (let minute = 0; minute < STEPS; minute++) {
    if (w.lost.some((from) => minute >= from && minute < from + 5)) continue
    const delayMs = (i: number): number => (late ? (w.lateness[i % w.lateness.length] ?? 0) * MIN : 0)
    const bench = START + minute * MIN + delayMs(minute) + 100
    const corner = START + minute * MIN + delayMs(minute + 7) + 200
    arrivals.push({ receivedMs: bench, body: packInput(bench, readingsAt(w, minute)) })
    if (minute % 3 > 0) arrivals.push({ receivedMs: corner, body: packInput(corner, cornerAt(w, minute)) })
  }
  if (w.settingsAt !== null) {
    const atMs = START + w.settingsAt * MIN + 7
    const limits = { airDryPct: { openBelow: 42, closeAbove: 45, onDelayMs: 5 * MIN, offDelayMs: 3 * MIN } }
    arrivals.push({ receivedMs: atMs, body: settingsInput(shop({ limits }), atMs) })
  }
  return arrivals.sort((a, b) => a.receivedMs - b.receivedMs)
}

function episodesIn(book: BookOfRecord): Episode[] {
  const keys = ['room:floor', 'machine:roll', 'bottle:roll-waste']
  return keys.flatMap((subjectKey) => [
    ...book.history.episodesTouchedAfter({ subjectKey, afterMs: -Infinity }),
  ])
}

/** Once gave other effects after a restart: new settings had put a deadline into the past, and its episode was dated there. */
const PAST_FAILURE: World = {
  humidity: [
    [36, 6],
    [36, 2],
    [43, 1],
  ],
  corner: [
    [37, 10],
    [37, 37],
    [37, 25],
    [37, 4],
    [37, 22],
    [44, 6],
    [37, 1],
    [37, 1],
    [37, 1],
  ],
  powered: [
    [0, 1],
    [0, 1],
    [0, 1],
  ],
  mass: [
    [1.9, 4],
    [0.9, 5],
    [0.9, 1],
  ],
  lateness: [0, 0, 2, 0, 0, 0, 0, 0, 0, 0, 0, 1, 66, 5, 7, 0, 22, 0, 50, 19],
  lost: [8],
  settingsAt: 105,
}

describe('the kernel over any log', { timeout: 600_000 }, () => {
  it('STEP-2 any order of arrival within the backlog window gives the same episodes', () => {
    const reached = { late: 0, episodes: 0, revised: 0 }
    fc.assert(
      fc.property(world, (w) => {
        const inOrder = createMemoryBookOfRecord()
        liveThrough(inOrder, arrivalsOf(w, false), END)
        const shuffled = createMemoryBookOfRecord()
        const log = liveThrough(shuffled, arrivalsOf(w, true), END)
        const facts = episodeFacts(episodesIn(inOrder))
        expect(episodeFacts(episodesIn(shuffled))).toEqual(facts)

        const effects = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: () => 1,
          restartAfter: () => false,
        }).effects.flat()
        if (effects.some((e) => e.type === 'subjectSnapshotsDropped')) reached.late++
        if (effects.some((e) => e.type === 'episodeCorrected' || e.type === 'episodeWithdrawn'))
          reached.revised++
        if (facts.length > 0) reached.episodes++
      }),
      { numRuns: 50 },
    )
    expect(reached.late).toBeGreaterThan(30)
    expect(reached.episodes).toBeGreaterThan(30)
    expect(reached.revised).toBeGreaterThan(10)
  })

  it('STEP-1 any chunking, with or without a restart between any two inputs, gives the same effects', () => {
    const reached = { restarts: 0, alarms: 0, notices: 0 }
    const cuts = fc.record({
      sizes: fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 6 }),
      every: fc.integer({ min: 1, max: 5 }),
    })
    fc.assert(
      fc.property(world, cuts, (w, { sizes, every }) => {
        const log: readonly InputBody[] = withActs(
          liveThrough(createMemoryBookOfRecord(), arrivalsOf(w, true), END),
        )
        const plain = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: () => 1,
          restartAfter: () => false,
        })
        const cut = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: (i) => sizes[i % sizes.length] ?? 1,
          restartAfter: (i) => i % every === 0,
        })
        expect(cut.effects).toEqual(plain.effects)
        expect(cut.stateJson).toBe(plain.stateJson)
        const notices = plain.effects.flat().flatMap((e) => (e.type === 'noticeQueued' ? [e.notice.key] : []))
        expect(new Set(notices).size).toBe(notices.length)
        reached.notices += notices.length
        reached.restarts += log.length / every
        if (plain.effects.flat().some((e) => e.type === 'alarmChanged')) reached.alarms++
      }),
      { numRuns: 25, examples: [[PAST_FAILURE, { sizes: [1], every: 1 }]] },
    )
    expect(reached.restarts).toBeGreaterThan(500)
    expect(reached.alarms).toBeGreaterThan(12)
    expect(reached.notices).toBeGreaterThan(100)
  })
})

/** People act in between: the first tasks and alarms are taken on, put off and signed off, and answers find their way. */
function withActs(log: readonly InputBody[]): InputBody[] {
  return log.flatMap((body, i) => {
    if (i % 25 !== 24) return [body]
    const act = { actorId: 'ana', via: 'phone' as const, atMs: body.receivedMs }
    const stamp = { atMs: body.receivedMs, receivedMs: body.receivedMs, act }
    const n = Math.floor(i / 25)
    const untilMs = body.receivedMs + 20 * MIN
    const proof = { atMs: body.receivedMs, receivedMs: body.receivedMs }
    return [
      body,
      { type: 'alarmAcknowledged' as const, ...stamp, alarmId: `alarm-${n}` },
      { type: 'alarmSnoozed' as const, ...stamp, alarmId: `alarm-${n + 1}`, contactId: 'lena', untilMs },
      { type: 'replyPathProven' as const, ...proof, contactId: n % 2 === 0 ? 'lena' : 'bo' },
      { type: 'noticeTestAsked' as const, ...stamp, contactId: 'bo' },
      { type: 'taskSignedOff' as const, ...stamp, taskId: `task-${n}`, note: '' },
    ]
  })
}
