import { expect } from 'vitest'
import type { Records } from './records.ts'
import type { ContractCase } from './contract.ts'
import { FLOOR_KEY, heard, pack, reading, rejection, T0 } from './record-samples.ts'

function reject(book: Records['book'], topic: string, from: number, to: number): void {
  book.transaction(() => {
    for (let i = from; i < to; i++) book.keepRejection(rejection(topic, `sample ${i}`), T0 + i)
  })
}

export const keepingContract: readonly ContractCase<Records>[] = [
  {
    rule: 'BR-5',
    name: 'the same conflict again is kept once; another value, time or sensor is another conflict',
    check: ({ book, facts }) => {
      book.transaction(() => book.keepConflicts([reading(1, 50), reading(1, 50)], T0))
      book.transaction(() => book.keepConflicts([reading(1, 50)], T0 + 1))
      expect(facts.counts().conflicts).toBe(1)
      book.transaction(() => book.keepConflicts([reading(1, 51), reading(2, 50), reading(1, 50, 'a/b')], T0))
      expect(facts.counts()).toMatchObject({ conflicts: 4, readings: 0 })
    },
  },
  {
    rule: 'BR-7',
    name: "the kernel's state is the one saved last, and null before the first",
    check: ({ book }) => {
      expect(book.latestKernelSnapshot()).toBeNull()
      for (const seq of [10, 20]) {
        book.transaction(() =>
          book.saveKernelSnapshot({ seq, kernelVersion: '1', stateJson: `{"n":${seq}}` }),
        )
      }
      expect(book.latestKernelSnapshot()).toEqual({ seq: 20, kernelVersion: '1', stateJson: '{"n":20}' })
    },
  },
  {
    rule: 'BR-9',
    name: 'a rejection is kept with its sample; the same again only counts',
    check: ({ book, facts }) => {
      book.transaction(() => book.keepRejection(rejection('a/b', '{'), T0))
      book.transaction(() => book.keepRejection(rejection('a/b', '{'), T0 + 5))
      expect(facts.quarantine(9)).toEqual([
        { ...rejection('a/b', '{'), count: 2, firstMs: T0, lastMs: T0 + 5 },
      ])
      expect(facts.counts().quarantined).toBe(2)
    },
  },
  {
    rule: 'BR-9',
    name: 'at most 100 samples of a topic are kept, and every rejection is counted',
    check: ({ book, facts }) => {
      reject(book, 'a/b', 0, 150)
      reject(book, 'c/d', 0, 2)
      const topics = facts.quarantine(9999).map((entry) => entry.topic)
      expect(topics.filter((topic) => topic === 'a/b')).toHaveLength(100)
      expect(topics.filter((topic) => topic === 'c/d')).toHaveLength(2)
      expect(facts.counts().quarantined).toBe(152)
    },
  },
  {
    rule: 'BR-9',
    name: 'at most 10,000 samples are kept in all, and every rejection is counted',
    check: ({ book, facts }) => {
      for (let topic = 0; topic < 101; topic++) reject(book, `t/${topic}`, 0, 100)
      expect(facts.quarantine(99_999)).toHaveLength(10_000)
      expect(facts.counts().quarantined).toBe(10_100)
    },
  },
  {
    rule: 'BR-10',
    name: 'a sensor is heard from the first note on; counts add up and the newest value stands',
    check: ({ book, facts }) => {
      book.transaction(() => book.noteHeard([heard()]))
      book.transaction(() =>
        book.noteHeard([heard({ atMs: T0 + 9, receivedMs: T0 + 900, value: 50, readings: 2 })]),
      )
      expect(facts.heardSensors()).toEqual([
        {
          ...heard({ atMs: T0 + 9, receivedMs: T0 + 900, value: 50, readings: 5 }),
          firstReceivedMs: T0 + 300,
        },
      ])
    },
  },
  {
    rule: 'BR-10',
    name: 'a late note counts and moves the time of arrival, but not the newest value',
    check: ({ book, facts }) => {
      const late = heard({ atMs: T0 - 9, receivedMs: T0 + 900, value: 1, quantity: 'power', readings: 1 })
      book.transaction(() => book.noteHeard([heard()]))
      book.transaction(() => book.noteHeard([late]))
      expect(facts.heardSensors()).toMatchObject([
        { atMs: T0, value: 45, quantity: 'humidity', receivedMs: T0 + 900, readings: 4 },
      ])
    },
  },
  {
    rule: 'BR-10',
    name: 'the interval promised last holds until another is promised; sensors are apart',
    check: ({ book, facts }) => {
      const of = (intervalMs: number | null) =>
        book.transaction(() => book.noteHeard([heard({ intervalMs })]))
      of(60_000)
      of(null)
      expect(facts.heardSensors()[0]?.intervalMs).toBe(60_000)
      of(10_000)
      book.transaction(() => book.noteHeard([heard({ sensorId: 'a/first', intervalMs: null })]))
      expect(facts.heardSensors().map((s) => [s.sensorId, s.intervalMs])).toEqual([
        ['a/first', null],
        ['bench/humidity', 10_000],
      ])
    },
  },
  {
    rule: 'BR-11',
    name: 'pruning drops the older subject snapshots and only those',
    check: ({ book }) => {
      const snapshots = [1, 2, 3].map(
        (n) =>
          ({ type: 'subjectSnapshot', subjectKey: FLOOR_KEY, throughMs: T0 + n, stateJson: `${n}` }) as const,
      )
      book.transaction(() => book.applyEffects(1, snapshots))
      const before = (n: number) =>
        book.history.snapshotBefore({ subjectKey: FLOOR_KEY, beforeMs: T0 + n })?.stateJson ?? null
      book.transaction(() => book.pruneSubjectSnapshots(T0 + 2))
      expect([before(2), before(3), before(4)]).toEqual([null, '2', '3'])
    },
  },
  {
    rule: 'BR-12',
    name: 'pruning drops the older readings of every series and only those, and says how many went',
    check: ({ book, facts }) => {
      const others = [reading(1, 1, 'z/z'), reading(3, 1, 'z/z')]
      book.transaction(() =>
        book.appendInput(
          pack(1, [reading(1), ...others.slice(0, 1), reading(2), reading(3), ...others.slice(1)]),
        ),
      )
      expect(book.transaction(() => book.pruneReadings(T0 + 2000))).toBe(2)
      expect(facts.counts().readings).toBe(3)
      expect(book.history.readingsAfter({ sensorIds: ['bench/humidity', 'z/z'], afterMs: 0 })).toEqual([
        reading(2),
        reading(3),
        reading(3, 1, 'z/z'),
      ])
      expect(book.transaction(() => book.pruneReadings(T0 + 2000))).toBe(0)
    },
  },
  {
    rule: 'BR-18',
    name: 'what was handed on is told by the input it came with; 0 before the first, and never back',
    check: ({ book }) => {
      expect(book.forwardedSeq()).toBe(0)
      book.transaction(() => book.noteForwarded(7))
      book.transaction(() => book.noteForwarded(5))
      expect(book.forwardedSeq()).toBe(7)
    },
  },
  {
    rule: 'BR-13',
    name: 'lastAliveMs is what was noted last, and null before',
    check: ({ book }) => {
      expect(book.lastAliveMs()).toBeNull()
      book.transaction(() => book.noteAlive(T0))
      book.transaction(() => book.noteAlive(T0 + 20_000))
      expect(book.lastAliveMs()).toBe(T0 + 20_000)
    },
  },
]
