import { expect } from 'vitest'
import type { Disposal } from '../../services/core/model/disposal.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Reading } from '../../services/core/model/input.ts'
import type { BookOfRecord, RecordsReader } from '../../services/core/model/ports/records.ts'
import type { Task } from '../../services/core/model/task.ts'
import type { ContractCase } from './contract.ts'
import { ofLogEntries } from './log-entries.contract.ts'
import {
  alarm,
  deadline,
  disposal,
  episode,
  nozzleCheck,
  pack,
  reading,
  settingsInput,
  T0,
  task,
} from './record-samples.ts'

export interface ReadRecords {
  readonly book: BookOfRecord
  readonly reader: RecordsReader
}

const MINUTE = 60_000
const HUMIDITY = 'bench/humidity'
const at = (atMs: number, value: number, quantity: Reading['quantity'] = 'humidity'): Reading => ({
  sensorId: HUMIDITY,
  quantity,
  atMs,
  value,
})
const append = ({ book }: ReadRecords, readings: readonly Reading[]): void =>
  book.transaction(() => book.appendInput(pack(book.lastSeq() + 1, readings)))
const apply = ({ book }: ReadRecords, effects: readonly Effect[]): void =>
  book.transaction(() => book.applyEffects(1, effects))
const alarmAt = (
  id: string,
  openedMs: number,
  state: 'unacknowledged' | 'acknowledged' | 'normal',
): Effect => ({
  type: 'alarmChanged',
  alarm: alarm(id, { openedMs, state }),
  atMs: openedMs,
})
const logged = (id: string, change: Partial<Disposal>): Effect => ({
  type: 'disposalLogged',
  disposal: disposal(id, change),
  atMs: T0,
})
const taskAt = (id: string, atMs: number, state: 'open' | 'signedOff' = 'open'): Effect => ({
  type: 'taskChanged',
  task: task(id, { state }),
  atMs,
})

const ofDisposals: readonly ContractCase<ReadRecords>[] = [
  {
    rule: 'RR-12',
    name: 'the newest entry of each disposal, the one disposed of last first, at most as many as asked for, of the time asked for',
    check: (r) => {
      apply(r, [
        logged('a', { disposedMs: T0, volumeMl: 900 }),
        logged('b', { disposedMs: T0 + 9, volumeMl: 1500 }),
        logged('a', { disposedMs: T0 + 1, volumeMl: 1000 }),
        logged('c', { disposedMs: T0 + 5, volumeMl: 10 }),
      ])
      const ever = { fromMs: 0, toMs: Infinity, limit: 9 }
      const told = r.reader.disposals(ever).map((d) => [d.disposalId, d.volumeMl])
      expect(told).toEqual([
        ['b', 1500],
        ['c', 10],
        ['a', 1000],
      ])
      const ids = (change: object) => r.reader.disposals({ ...ever, ...change }).map((d) => d.disposalId)
      expect(ids({ limit: 1 })).toEqual(['b'])
      expect(ids({ fromMs: T0 + 1, toMs: T0 + 9 })).toEqual(['c', 'a'])
      // Corrected to another time, it is not at the first one any more.
      expect(ids({ toMs: T0 + 1 })).toEqual([])
    },
  },
  {
    rule: 'RR-33',
    name: 'how often each was said anew; one that is not known is left out',
    check: (r) => {
      apply(r, [logged('a', {}), logged('b', {}), logged('a', {})])
      const entry = (checkId: string, isVoid = false): Effect => ({
        type: 'logEntryNoted',
        entry: nozzleCheck(checkId, { void: isVoid }),
        atMs: T0,
      })
      apply(r, [entry('a'), entry('a'), entry('a', true), entry('z')])
      const ids = ['a', 'b', 'none']
      expect([...r.reader.corrections({ kind: 'disposal', ids })].sort()).toEqual([
        ['a', 1],
        ['b', 0],
      ])
      expect([...r.reader.corrections({ kind: 'nozzleCheck', ids })]).toEqual([['a', 2]])
      expect([...r.reader.corrections({ kind: 'note', ids })]).toEqual([])
    },
  },
  {
    rule: 'RR-13',
    name: 'every entry of a disposal, the oldest first; none of one that is not known',
    check: (r) => {
      apply(r, [
        logged('a', { volumeMl: 900 }),
        logged('b', { volumeMl: 5 }),
        logged('a', { volumeMl: 1000, note: 'weighed again' }),
      ])
      expect(r.reader.disposalHistory('a')).toEqual([
        disposal('a', { volumeMl: 900 }),
        disposal('a', { volumeMl: 1000, note: 'weighed again' }),
      ])
      expect(r.reader.disposalHistory('none')).toEqual([])
    },
  },
]

const ofWork: readonly ContractCase<ReadRecords>[] = [
  {
    rule: 'RR-1',
    name: 'alarms that are not normal, newest first; any alarm by its id',
    check: (r) => {
      apply(r, [
        alarmAt('old', T0, 'acknowledged'),
        alarmAt('new', T0 + 9, 'unacknowledged'),
        alarmAt('over', T0 + 5, 'normal'),
      ])
      expect(r.reader.openAlarms().map((a) => a.id)).toEqual(['new', 'old'])
      expect([r.reader.alarm('over')?.state, r.reader.alarm('none')]).toEqual(['normal', null])
    },
  },
  {
    rule: 'RR-14',
    name: 'changes of alarms from a time on, its own included, and before another, in the order of their making',
    check: (r) => {
      apply(r, [
        alarmAt('a', T0, 'unacknowledged'),
        alarmAt('b', T0 + 5, 'unacknowledged'),
        alarmAt('a', T0 + 5, 'acknowledged'),
        alarmAt('a', T0 + 6, 'acknowledged'),
        alarmAt('a', T0 + 9, 'normal'),
      ])
      const seen = (fromMs: number, toMs: number) =>
        r.reader.alarmChanges({ fromMs, toMs }).map((c) => `${c.alarmId} ${c.state}`)
      expect(seen(T0, T0 + 9)).toEqual(['a unacknowledged', 'b unacknowledged', 'a acknowledged'])
      expect(seen(T0 + 9, T0 + 99)).toEqual(['a normal'])
    },
  },
  {
    rule: 'RR-15',
    name: 'the record begins with the first input, and not before there is one',
    check: (r) => {
      expect(r.reader.recordBeginsMs()).toBeNull()
      r.book.transaction(() => [settingsInput(1, T0 + 3), deadline(2)].forEach((i) => r.book.appendInput(i)))
      expect(r.reader.recordBeginsMs()).toBe(T0 + 3)
    },
  },
  {
    rule: 'RR-2',
    name: 'tasks in the states asked for, the one that changed last first, at most as many as asked for',
    check: (r) => {
      apply(r, [
        taskAt('a', T0),
        taskAt('b', T0 + 1),
        taskAt('c', T0 + 2),
        taskAt('d', T0 + 3, 'signedOff'),
        taskAt('a', T0 + 9),
      ])
      const ids = (states: ('open' | 'signedOff')[], limit: number) =>
        r.reader.tasks({ states, limit }).map((t) => t.id)
      expect(ids(['open'], 9)).toEqual(['a', 'c', 'b'])
      expect(ids(['open', 'signedOff'], 2)).toEqual(['a', 'd'])
      expect(ids([], 9)).toEqual([])
      expect([r.reader.task('d')?.state, r.reader.task('z')]).toEqual(['signedOff', null])
    },
  },
  {
    rule: 'RR-3',
    name: 'episodes that touch the window, its end left out, oldest first; one still open reaches to the end of time',
    check: (r) => {
      const ended = (fromMs: number, toMs: number) => episode(fromMs, { toMs, closedMs: toMs + 5 })
      const inside = [ended(T0 - 9, T0 + 1), episode(T0 - 5), ended(T0 + 9, T0 + 99)]
      const outside = [ended(T0 - 20, T0), episode(T0 + 10)]
      apply(
        r,
        [...outside, ...inside].reverse().map((e) => ({ type: 'episodeClosed', episode: e })),
      )
      expect(r.reader.episodes({ fromMs: T0, toMs: T0 + 10 })).toEqual(inside)
    },
  },
]

const ofReadings: readonly ContractCase<ReadRecords>[] = [
  {
    rule: 'RR-4',
    name: 'the newest reading of each sensor and quantity by the time of measuring, whatever came last',
    check: (r) => {
      append(r, [reading(5, 50), reading(6, 51, 'a/first')])
      append(r, [reading(1, 40), at(T0 + 2000, 21, 'temperature')])
      expect(r.reader.latestReadings()).toEqual([
        reading(6, 51, 'a/first'),
        reading(5, 50),
        at(T0 + 2000, 21, 'temperature'),
      ])
    },
  },
  {
    rule: 'RR-5',
    name: 'buckets hold min, mean, max and last, begin at multiples of their width, and leave gaps',
    check: (r) => {
      const start = Math.floor(T0 / MINUTE) * MINUTE
      append(r, [
        at(start + 1, 40),
        at(start + 30_000, 46),
        at(start + 59_999, 43),
        at(start + 3 * MINUTE, 10),
      ])
      append(r, [at(start + 30_001, 41)])
      expect(
        r.reader.series({ sensorId: HUMIDITY, fromMs: start, toMs: start + 4 * MINUTE, bucketMs: MINUTE }),
      ).toEqual([
        { atMs: start, min: 40, mean: 42.5, max: 46, last: 43 },
        { atMs: start + 3 * MINUTE, min: 10, mean: 10, max: 10, last: 10 },
      ])
    },
  },
  {
    rule: 'RR-5',
    name: 'the window holds its start and not its end, and a bucket holds only what is in the window',
    check: (r) => {
      append(r, [at(0, 1), at(7, 2), at(13, 3), at(20, 4)])
      expect(r.reader.series({ sensorId: HUMIDITY, fromMs: 7, toMs: 20, bucketMs: 10 })).toEqual([
        { atMs: 0, min: 2, mean: 2, max: 2, last: 2 },
        { atMs: 10, min: 3, mean: 3, max: 3, last: 3 },
      ])
      expect(r.reader.series({ sensorId: 'not/heard', fromMs: 0, toMs: 99, bucketMs: 10 })).toEqual([])
    },
  },
  {
    rule: 'RR-5',
    name: 'a width that is no whole number of ms counts as the whole number below, and as 1 at least',
    check: (r) => {
      append(r, [at(0, 1), at(9, 2), at(10, 3)])
      const starts = (bucketMs: number) =>
        r.reader.series({ sensorId: HUMIDITY, fromMs: 0, toMs: 99, bucketMs }).map((p) => p.atMs)
      expect([starts(10.9), starts(0.5)]).toEqual([
        [0, 10],
        [0, 9, 10],
      ])
    },
  },
  {
    rule: 'RR-5',
    name: 'a bucket before 1970 begins before what is in it',
    check: (r) => {
      append(r, [at(-15, 1), at(-10, 2), at(-1, 3)])
      const starts = r.reader
        .series({ sensorId: HUMIDITY, fromMs: -100, toMs: 100, bucketMs: 10 })
        .map((p) => p.atMs)
      expect(starts).toEqual([-20, -10])
    },
  },
  {
    rule: 'RR-5',
    name: 'two quantities of a sensor never share a bucket: the one asked for, or the one measured last',
    check: (r) => {
      append(r, [at(1, 45), at(2, 900, 'power')])
      const query = { sensorId: HUMIDITY, fromMs: 0, toMs: 10, bucketMs: 10 }
      expect(r.reader.series(query)).toMatchObject([{ min: 900, max: 900 }])
      expect(r.reader.series({ ...query, quantity: 'humidity' })).toMatchObject([{ min: 45, max: 45 }])
      expect(r.reader.series({ ...query, quantity: 'mass' })).toEqual([])
    },
  },
  {
    rule: 'RR-19',
    name: 'single readings of the window, its start and not its end, oldest first, at most as many as asked for',
    check: (r) => {
      append(r, [at(0, 1), at(7, 2), at(13, 3), at(20, 4), at(8, 900, 'power')])
      append(r, [at(10, 5)])
      const query = { sensorId: HUMIDITY, quantity: 'humidity' as const, fromMs: 7, toMs: 20 }
      expect(r.reader.readings({ ...query, limit: 9 })).toEqual([at(7, 2), at(10, 5), at(13, 3)])
      expect(r.reader.readings({ ...query, limit: 2 })).toEqual([at(7, 2), at(10, 5)])
      expect(r.reader.readings({ ...query, quantity: 'mass', limit: 9 })).toEqual([])
    },
  },
  {
    rule: 'RR-6',
    name: 'the newest reading of a sensor strictly before a time, or null',
    check: (r) => {
      append(r, [reading(1, 41), reading(2, 42), reading(9, 1, 'z/other')])
      const before = (atS: number, sensorId = HUMIDITY) =>
        r.reader.readingBefore({ sensorId, atMs: T0 + atS * 1000 })
      expect([before(1), before(2), before(99), before(99, 'not/heard')]).toEqual([
        null,
        reading(1, 41),
        reading(2, 42),
        null,
      ])
      append(r, [at(T0 + 3000, 21, 'temperature')])
      expect(r.reader.readingBefore({ sensorId: HUMIDITY, quantity: 'humidity', atMs: T0 * 2 })).toEqual(
        reading(2, 42),
      )
    },
  },
]

const ofTheBook: readonly ContractCase<ReadRecords>[] = [
  {
    rule: 'RR-7',
    name: 'events after an id, oldest first, at most as many as asked for; lastEventId is the newest, 0 before the first',
    check: (r) => {
      expect(r.reader.lastEventId()).toBe(0)
      apply(r, [taskAt('a', T0), alarmAt('b', T0 + 1, 'normal'), taskAt('c', T0 + 2)])
      const all = r.reader.eventsAfter({ afterId: 0, limit: 9 })
      expect(all.map((e) => e.body['id'])).toEqual(['a', 'b', 'c'])
      expect(r.reader.lastEventId()).toBe(all[2]?.id)
      expect(r.reader.eventsAfter({ afterId: all[0]?.id ?? 0, limit: 1 })).toEqual(all.slice(1, 2))
    },
  },
  {
    rule: 'RR-8',
    name: 'counts tell what is held: a resend adds nothing',
    check: (r) => {
      append(r, [reading(1), reading(2)])
      append(r, r.book.sortReadings([reading(2), reading(3)]).fresh)
      r.book.transaction(() => r.book.keepConflicts([reading(1, 9)], T0))
      expect(r.reader.counts()).toEqual({
        readings: 3,
        conflicts: 1,
        quarantined: 0,
        notJudged: 0,
        inputs: 2,
      })
    },
  },
  {
    rule: 'RR-10',
    name: 'readings are counted by the input they came with, whatever their own time',
    check: (r) => {
      append(r, [reading(1), reading(2)])
      append(r, [reading(-50), reading(3)])
      append(r, [reading(4)])
      expect([0, 1, 2, 3].map((seq) => r.reader.readingsAfterInput(seq))).toEqual([5, 3, 1, 0])
    },
  },
  {
    rule: 'RR-11',
    name: 'quarters of a machine by their end, oldest first, each as it was noted last',
    check: (r) => {
      const noted = (machineId: string, quarter: number, cleanings = 0) => ({
        type: 'quarterNoted' as const,
        quarter: {
          machineId,
          endMs: T0 + quarter * 900_000,
          seconds: { on: 900 },
          cleanings,
          uncappedS: 0,
          deficitKpa: 1.2,
          inks: [{ channelGroupId: 'white', doseKpaH: 3, certainKpaH: null }],
        },
      })
      apply(r, [noted('roll', 2), noted('roll', 1), noted('roll', 3), noted('sheet', 2), noted('roll', 2, 4)])
      const found = r.reader.machineQuarters({
        machineId: 'roll',
        fromMs: T0 + 900_000,
        toMs: T0 + 3 * 900_000,
      })
      expect(found).toEqual([noted('roll', 2, 4).quarter, noted('roll', 3).quarter])
    },
  },
  {
    rule: 'RR-30',
    name: 'quarters in stretches, whichever width is kept ready: what is noted again counts once',
    check: (r) => {
      const QUARTER = 900_000
      const noted = (quarter: number, doseKpaH: number) => ({
        type: 'quarterNoted' as const,
        quarter: {
          machineId: 'roll',
          endMs: (quarter + 1) * QUARTER,
          seconds: { on: 600, off: 300 },
          cleanings: 1,
          uncappedS: 60,
          deficitKpa: 1.2,
          inks: [{ channelGroupId: 'white', doseKpaH, certainKpaH: null }],
        },
      })
      const other = noted(2, 99)
      apply(r, [
        ...[...Array(50).keys()].map((n) => noted(n, n % 24)),
        noted(3, 40),
        { ...other, quarter: { ...other.quarter, machineId: 'sheet' } },
      ])
      for (const hours of [0.25, 0.5, 1, 3, 6, 24]) {
        const widthMs = hours * 4 * QUARTER
        const found = r.reader.machineStretches({ machineId: 'roll', fromMs: 0, toMs: 50 * QUARTER, widthMs })
        expect(found.map((s) => s.startMs / widthMs)).toEqual([...Array(Math.ceil(12.5 / hours)).keys()])
        const sum = (of: (s: (typeof found)[number]) => number) => found.reduce((n, s) => n + of(s), 0)
        expect(sum((s) => s.cleanings)).toBe(50)
        expect(sum((s) => s.seconds.on ?? 0)).toBe(50 * 600)
        expect(sum((s) => s.uncappedS)).toBe(50 * 60)
        expect(sum((s) => s.inks[0]?.n ?? 0)).toBe(50)
        expect(Math.max(...found.map((s) => s.inks[0]?.high ?? 0))).toBe(40)
        expect(found.at(-1)?.inks[0]?.last).toBe(1)
      }
      const widthMs = 4 * QUARTER
      const some = r.reader.machineStretches({
        machineId: 'roll',
        fromMs: widthMs + 1,
        toMs: 2 * widthMs + 1,
        widthMs,
      })
      expect(some.map((s) => s.startMs)).toEqual([widthMs, 2 * widthMs])
    },
  },
  {
    rule: 'RR-31',
    name: 'tasks by when they ended, oldest first, without those open or withdrawn',
    check: (r) => {
      const ended = (id: string, state: Task['state'], closedMs: number | null) => ({
        type: 'taskChanged' as const,
        task: task(id, { state, closedMs }),
        atMs: T0 + 99,
      })
      apply(r, [
        ended('b', 'signedOff', T0 + 2),
        ended('a', 'missed', T0),
        ended('c', 'withdrawn', T0 + 1),
        ended('d', 'open', null),
        ended('e', 'overByItself', T0 + 3),
      ])
      const found = r.reader.tasksEnded({ fromMs: T0, toMs: T0 + 3 })
      expect(found.map((t) => [t.id, t.state, t.closedMs])).toEqual([
        ['a', 'missed', T0],
        ['b', 'signedOff', T0 + 2],
      ])
      expect(found[0]).toMatchObject({ title: task('a').title, subject: task('a').subject })
    },
  },
  {
    rule: 'RR-9',
    name: 'settings that ever held, newest first, at most as many as asked for',
    check: (r) => {
      const [one, two, three] = [
        settingsInput(1, T0, 'One'),
        settingsInput(3, T0 + 1, 'Two'),
        settingsInput(4, T0 + 2, 'Three'),
      ]
      r.book.transaction(() => [one, deadline(2), two, three].forEach((input) => r.book.appendInput(input)))
      expect(r.reader.settingsHistory(2)).toEqual([three, two])
    },
  },
]

export const recordsReaderContract: readonly ContractCase<ReadRecords>[] = [
  ...ofWork,
  ...ofDisposals,
  ...ofLogEntries,
  ...ofReadings,
  ...ofTheBook,
]
