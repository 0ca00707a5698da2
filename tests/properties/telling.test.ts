import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PROOF_HOLDS_MS } from '../../services/core/alarms/telling/who-is-asked.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTellingDesk, type TellingDesk } from '../parts/telling-desk.ts'

const MIN = 60_000
/** Wednesday 25 November 2026, 16:00 in Brussels: the runs pass closing, a night and an opening. */
const START = Date.parse('2026-11-25T15:00:00Z')
const ALARMS = ['a', 'b', 'c', 'd', 'e'] as const
const PEOPLE = ['lena', 'bo', 'cyr'] as const

const move = fc.oneof(
  {
    weight: 7,
    arbitrary: fc.record({
      type: fc.constant('raise'),
      alarm: fc.constantFrom(...ALARMS),
      now: fc.boolean(),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({ type: fc.constant('acknowledge'), alarm: fc.constantFrom(...ALARMS) }),
  },
  { weight: 1, arbitrary: fc.record({ type: fc.constant('raiseAll') }) },
  { weight: 2, arbitrary: fc.record({ type: fc.constant('end'), alarm: fc.constantFrom(...ALARMS) }) },
  {
    weight: 1,
    arbitrary: fc.record({ type: fc.constant('grow'), alarm: fc.constantFrom(...ALARMS), now: fc.boolean() }),
  },
  {
    weight: 3,
    arbitrary: fc.record({
      type: fc.constant('snooze'),
      alarm: fc.constantFrom(...ALARMS),
      who: fc.constantFrom(...PEOPLE),
      minutes: fc.integer({ min: 1, max: 60 }),
    }),
  },
  { weight: 2, arbitrary: fc.record({ type: fc.constant('prove'), who: fc.constantFrom(...PEOPLE) }) },
)
/** Bursts, and long waits between them. */
const waits = fc.oneof(
  { weight: 3, arbitrary: fc.constant(0) },
  { weight: 3, arbitrary: fc.integer({ min: 1, max: 6 }) },
  { weight: 1, arbitrary: fc.integer({ min: 7, max: 45 }) },
)
type Move = { type: string; alarm?: string; who?: string; now?: boolean; minutes?: number }

const world = fc.record({
  moves: fc.array(fc.tuple(waits, move as fc.Arbitrary<Move>), {
    minLength: 15,
    maxLength: 40,
    size: 'max',
  }),
  proven: fc.subarray([...PEOPLE]),
  people: fc.integer({ min: 1, max: 3 }),
  times: fc.array(fc.constantFrom('always', 'always', 'openHours', 'closedHours'), {
    minLength: 3,
    maxLength: 3,
  }),
  telling: fc.record({
    remindAfterMs: fc.integer({ min: 1, max: 20 }).map((n) => n * MIN),
    escalateAfterMs: fc.integer({ min: 1, max: 25 }).map((n) => n * MIN),
    reminders: fc.integer({ min: 0, max: 4 }),
  }),
})
type World = typeof world extends fc.Arbitrary<infer T> ? T : never

function settingsOf({ people, times, telling }: World): Settings {
  const contacts = PEOPLE.slice(0, people).map((id, i) => ({
    id,
    title: id,
    mail: `${id}@example.org`,
    times: times[i],
  }))
  return testSettings({ contacts, telling })
}

/** What a run came to, beside its notices. */
interface Run {
  readonly desk: TellingDesk
  /** How often each alarm came to call; how many snoozes were said; when each reply path was proven. */
  readonly rises: Map<string, number>
  readonly ends: number
  snoozes: number
  readonly proofs: Map<string, number>
  /** State of its alarm when a notice was queued. */
  readonly asOf: Map<string, Alarm | undefined>
}

const calls = (a: Alarm | undefined): boolean => a?.state === 'unacknowledged' && a.urgency === 'now'

function live(w: World, { snooze = true, restartEvery = Infinity } = {}): Run {
  const settings = settingsOf(w)
  const desk = createTellingDesk(settings, START)
  const run = {
    desk,
    rises: new Map<string, number>(),
    ends: 0,
    snoozes: 0,
    proofs: new Map<string, number>(),
    asOf: new Map<string, Alarm | undefined>(),
  }
  let minute = 0
  const prove = (id: string): void => {
    if (!settings.contacts.some((c) => c.id === id)) return
    desk.say({ type: 'replyPathProven', contactId: id })
    if (!run.proofs.has(id)) run.proofs.set(id, START + minute * MIN)
  }
  const noted = (act: () => void): void => {
    const before = desk.notices.length
    act()
    for (const n of desk.notices.slice(before)) {
      const alarm = n.alarmId === null ? undefined : desk.alarm(n.alarmId)
      run.asOf.set(n.key, alarm && { ...alarm })
    }
  }
  w.proven.forEach(prove)
  w.moves.forEach(([wait, m], i) => {
    minute += wait
    noted(() => desk.waitUntil(minute))
    const before = new Map(ALARMS.map((id) => [id as string, calls(desk.alarm(id))]))
    noted(() => apply(m, { desk, run, prove, snooze, minute }))
    for (const id of ALARMS) {
      if (calls(desk.alarm(id)) && !before.get(id)) run.rises.set(id, (run.rises.get(id) ?? 0) + 1)
    }
    if (i % restartEvery === restartEvery - 1) desk.restart()
  })
  noted(() => desk.waitUntil(minute + 24 * 60))
  return run
}

function apply(
  m: Move,
  {
    desk,
    run,
    prove,
    snooze,
    minute,
  }: {
    desk: TellingDesk
    run: { ends: number; snoozes: number }
    prove: (id: string) => void
    snooze: boolean
    minute: number
  },
): void {
  const alarm = m.alarm === undefined ? undefined : desk.alarm(m.alarm)
  const open = alarm !== undefined && alarm.state !== 'normal'
  const urgency = m.now ? 'now' : 'beforeOpening'
  if (m.type === 'raise' && m.alarm !== undefined && !open) desk.raise(m.alarm, { urgency })
  if (m.type === 'raiseAll') {
    for (const id of ALARMS) if ((desk.alarm(id)?.state ?? 'normal') === 'normal') desk.raise(id)
  }
  if (m.type === 'prove') prove(m.who ?? '')
  if (!open) return
  if (m.type === 'acknowledge' && alarm.state === 'unacknowledged')
    desk.change(alarm.id, { state: 'acknowledged' })
  if (m.type === 'grow') desk.change(alarm.id, m.now ? { urgency, state: 'unacknowledged' } : { urgency })
  if (m.type === 'end') {
    run.ends++
    desk.change(alarm.id, { state: 'normal', returnedMs: START + minute * MIN })
  }
  if (m.type === 'snooze' && snooze && alarm.state === 'unacknowledged') {
    run.snoozes++
    const untilMs = START + (minute + (m.minutes ?? 1)) * MIN
    desk.say({ type: 'alarmSnoozed', alarmId: alarm.id, contactId: m.who ?? '', untilMs })
  }
}

const ASKS: readonly string[] = ['alarm', 'reminder', 'escalation']

describe('who is told, over any course of alarms and answers', { timeout: 120_000 }, () => {
  it('no key twice; nobody asked of what was answered; no escalation without a proven path; as many as the formula allows', () => {
    const reached = { asked: 0, escalations: 0, unproven: 0, many: 0, over: 0, secondRounds: 0 }
    fc.assert(
      fc.property(world, (w) => {
        const { desk, rises, snoozes, proofs, asOf } = live(w)
        const { notices } = desk
        expect(new Set(notices.map((n) => n.key)).size).toBe(notices.length)

        const lastAsked = new Map<string, string>()
        for (const n of notices) {
          if (!ASKS.includes(n.kind)) continue
          reached.asked++
          expect(calls(asOf.get(n.key)), `${n.kind} of an alarm that was answered or can wait`).toBe(true)
          if (n.kind === 'escalation') {
            reached.escalations++
            const before = lastAsked.get(n.topic) ?? ''
            const provenMs = proofs.get(before) ?? Infinity
            const atMs = START + n.minute * MIN
            expect(
              provenMs + w.telling.escalateAfterMs,
              `asked after ${before}, who cannot answer`,
            ).toBeLessThanOrEqual(atMs)
            expect(provenMs).toBeGreaterThan(atMs - PROOF_HOLDS_MS)
            if (before > n.contactId) reached.secondRounds++
          }
          if (n.kind !== 'reminder') lastAsked.set(n.topic, n.contactId)
          if (!proofs.has(n.contactId)) reached.unproven++
          if (n.topic.startsWith('many|')) reached.many++
        }

        // Each time an alarm comes to call: two rounds, in each of which everybody is asked and reminded.
        const perRise = 2 * w.people * (1 + w.telling.reminders)
        for (const id of ALARMS) {
          const asked = notices.filter((n) => n.topic === `alarm|${id}` && ASKS.includes(n.kind))
          expect(asked.length).toBeLessThanOrEqual(perRise * (rises.get(id) ?? 0) + snoozes)
        }
        const allRises = [...rises.values()].reduce((a, b) => a + b, 0)
        expect(notices.filter((n) => ASKS.includes(n.kind)).length).toBeLessThanOrEqual(
          perRise * allRises + snoozes,
        )

        const toldOf = new Set<string>()
        for (const n of notices) {
          if (n.kind === 'over') {
            reached.over++
            expect(toldOf.delete(`${n.topic} ${n.contactId}`) || n.topic.startsWith('many|')).toBe(true)
          } else toldOf.add(`${n.topic} ${n.contactId}`)
        }
      }),
      { numRuns: 400 },
    )
    expect(reached.asked).toBeGreaterThan(1500)
    expect(reached.escalations).toBeGreaterThan(200)
    expect(reached.unproven).toBeGreaterThan(100)
    expect(reached.many).toBeGreaterThan(50)
    expect(reached.over).toBeGreaterThan(300)
    expect(reached.secondRounds).toBeGreaterThan(20)
  })

  it('ASK-5 a snooze stops no escalation: without it the same people are asked at the same times', () => {
    let snoozes = 0
    const asked = ({ desk }: Run): string[] =>
      desk.notices
        .filter((n) => n.kind === 'alarm' || n.kind === 'escalation')
        .map((n) => `${n.minute} ${n.contactId} ${n.topic}`)
    fc.assert(
      fc.property(world, (w) => {
        const snoozed = live(w)
        snoozes += snoozed.snoozes
        expect(asked(snoozed)).toEqual(asked(live(w, { snooze: false })))
      }),
      { numRuns: 200 },
    )
    expect(snoozes).toBeGreaterThan(200)
  })

  it('STEP-1 with a restart between any two answers, the same notices', () => {
    let told = 0
    fc.assert(
      fc.property(world, fc.integer({ min: 1, max: 4 }), (w, restartEvery) => {
        const plain = live(w).desk.notices
        expect(live(w, { restartEvery }).desk.notices).toEqual(plain)
        told += plain.length
      }),
      { numRuns: 100 },
    )
    expect(told).toBeGreaterThan(500)
  })
})
