import { expect } from 'vitest'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Records } from './records.ts'
import type { ContractCase } from './contract.ts'
import {
  alarm,
  deadline,
  careEntry,
  disposal,
  episode,
  FLOOR_KEY,
  message,
  settingsInput,
  T0,
  task,
  nozzleCheck,
} from './record-samples.ts'

const EVER = { fromMs: 0, toMs: T0 * 2 }

function apply(book: Records['book'], ...effects: Effect[]): void {
  book.transaction(() => book.applyEffects(1, effects))
}
function queue(book: Records['book'], key: string, replaceKey?: string, atMs = T0): void {
  apply(book, { type: 'messageQueued', message: message(key, replaceKey), atMs })
}
const pendingKeys = (book: Records['book'], limit = 99) =>
  book.pendingMessages(limit).map((m) => m.idempotencyKey)

export const effectsContract: readonly ContractCase<Records>[] = [
  {
    rule: 'BR-6',
    name: 'an episode that opened stands, and closing it changes the one that stands',
    check: ({ book, facts }) => {
      const closed = episode(T0, { toMs: T0 + 9, closedMs: T0 + 19, worst: 30 })
      apply(book, { type: 'episodeOpened', episode: episode(T0) })
      expect(facts.episodes(EVER)).toEqual([episode(T0)])
      apply(book, { type: 'episodeClosed', episode: closed })
      expect(facts.episodes(EVER)).toEqual([closed])
    },
  },
  {
    rule: 'BR-6',
    name: 'a corrected episode takes the place of the one before, under the same id or another',
    check: ({ book, facts }) => {
      const moved = episode(T0 - 60_000)
      const worse = episode(T0 - 60_000, { worst: 20 })
      apply(book, { type: 'episodeOpened', episode: episode(T0) })
      apply(book, { type: 'episodeCorrected', previousId: episode(T0).id, episode: moved })
      expect(facts.episodes(EVER)).toEqual([moved])
      apply(book, { type: 'episodeCorrected', previousId: moved.id, episode: worse })
      expect(facts.episodes(EVER)).toEqual([worse])
    },
  },
  {
    rule: 'BR-6',
    name: 'a withdrawn episode is shown no more, until it opens again',
    check: ({ book, facts }) => {
      apply(
        book,
        { type: 'episodeOpened', episode: episode(T0) },
        { type: 'episodeOpened', episode: episode(T0 + 1) },
      )
      apply(book, { type: 'episodeWithdrawn', episodeId: episode(T0).id, atMs: T0 })
      expect(facts.episodes(EVER)).toEqual([episode(T0 + 1)])
      apply(book, { type: 'episodeOpened', episode: episode(T0) })
      expect(facts.episodes(EVER)).toEqual([episode(T0), episode(T0 + 1)])
    },
  },
  {
    rule: 'BR-6',
    name: 'alarms and tasks stand as they were last told, and each change is an event, in order',
    check: ({ book, facts }) => {
      const seen = alarm('a', { state: 'acknowledged' })
      apply(book, { type: 'alarmChanged', alarm: alarm('a'), atMs: T0 })
      apply(
        book,
        { type: 'taskChanged', task: task('t'), atMs: T0 + 1 },
        { type: 'alarmChanged', alarm: seen, atMs: T0 + 2 },
      )
      expect([facts.alarm('a'), facts.task('t'), facts.task('a')]).toEqual([seen, task('t'), null])
      expect(facts.eventsAfter({ afterId: 0, limit: 9 })).toMatchObject([
        { atMs: T0, kind: 'alarm', body: { id: 'a', state: 'unacknowledged' } },
        { atMs: T0 + 1, kind: 'task', body: { id: 't', state: 'open' } },
        { atMs: T0 + 2, kind: 'alarm', body: { id: 'a', state: 'acknowledged' } },
      ])
    },
  },
  {
    rule: 'BR-6',
    name: 'what an alarm does is on record, in order, and what only changed its words is not',
    check: ({ book, facts }) => {
      const told = (change: Partial<Alarm>, atMs: number): Effect => ({
        type: 'alarmChanged',
        alarm: alarm('a', change),
        atMs,
      })
      const back = { state: 'returnedUnacknowledged', returnedMs: T0 + 2 } as const
      apply(book, told({}, T0), told({ cause: '34 %RH' }, T0 + 1), told(back, T0 + 2))
      apply(book, told({ activations: 2 }, T0 + 3))
      expect(facts.alarmChanges(EVER)).toMatchObject([
        { atMs: T0, from: null, state: 'unacknowledged', arose: true, holds: true },
        { atMs: T0 + 2, from: 'unacknowledged', state: 'returnedUnacknowledged', arose: false, holds: false },
        { atMs: T0 + 3, from: 'returnedUnacknowledged', state: 'unacknowledged', arose: true, holds: true },
      ])
      expect(facts.alarmChanges({ fromMs: T0 + 2, toMs: T0 + 3 })).toHaveLength(1)
    },
  },
  {
    rule: 'BR-6',
    name: 'new settings are an event too, other inputs are none, and ids of events grow',
    check: ({ book, facts }) => {
      book.transaction(() =>
        [settingsInput(1, T0), deadline(2), settingsInput(3, T0 + 7)].forEach((i) => book.appendInput(i)),
      )
      const events = facts.eventsAfter({ afterId: 0, limit: 9 })
      expect(events).toMatchObject([
        { atMs: T0, kind: 'settings', body: { id: '1' } },
        { atMs: T0 + 7, kind: 'settings', body: { id: '3' } },
      ])
      expect(events[1]?.id).toBeGreaterThan(events[0]?.id ?? Infinity)
      expect(facts.eventsAfter({ afterId: events[0]?.id ?? 0, limit: 9 })).toHaveLength(1)
      expect(facts.eventsAfter({ afterId: 0, limit: 1 })).toEqual(events.slice(0, 1))
    },
  },
  {
    rule: 'BR-6',
    name: 'an entry of the disposal log stands beside those before it, and the newest of an id counts',
    check: ({ book, facts }) => {
      const later = disposal('d', { volumeMl: 1500 })
      apply(book, { type: 'disposalLogged', disposal: disposal('d'), atMs: T0 })
      apply(book, { type: 'disposalLogged', disposal: later, atMs: T0 + 1 })
      expect([facts.disposals({ fromMs: 0, toMs: Infinity, limit: 9 }), facts.disposalHistory('d')]).toEqual([
        [later],
        [disposal('d'), later],
      ])
    },
  },
  {
    rule: 'BR-6',
    name: 'an entry of the logbook stands beside those before it, and the newest of an id counts',
    check: ({ book, facts }) => {
      const later = nozzleCheck('n', { note: 'the other machine' })
      apply(book, { type: 'logEntryNoted', entry: nozzleCheck('n'), atMs: T0 })
      apply(book, { type: 'logEntryNoted', entry: careEntry('n'), atMs: T0 })
      apply(book, { type: 'logEntryNoted', entry: later, atMs: T0 + 1 })
      const day = { fromMs: T0, toMs: T0 + 1 }
      expect([facts.nozzleChecks(day), facts.nozzleCheckHistory('n')]).toEqual([
        [later],
        [nozzleCheck('n'), later],
      ])
      expect(facts.careEntries(day)).toEqual([{ ...careEntry('n'), helped: 'unknown' }])
    },
  },
  {
    rule: 'BR-6',
    name: 'readings that came too late to be judged add up',
    check: ({ book, facts }) => {
      const late = (count: number): Effect => ({
        type: 'readingsNotJudged',
        nodeId: 'bench',
        count,
        atMs: T0,
      })
      apply(book, late(3))
      apply(book, late(4), late(1))
      expect(facts.counts().notJudged).toBe(8)
    },
  },
  {
    rule: 'BR-6',
    name: 'a snapshot of the same subject and time replaces; dropping takes those at or after, of that subject alone',
    check: ({ book }) => {
      const snapshot = (subjectKey: string, throughMs: number, stateJson: string): Effect => ({
        type: 'subjectSnapshot',
        subjectKey,
        throughMs,
        stateJson,
      })
      apply(
        book,
        snapshot(FLOOR_KEY, T0, '1'),
        snapshot(FLOOR_KEY, T0 + 1, '2'),
        snapshot('machine:roll', T0 + 1, 'm'),
      )
      apply(book, snapshot(FLOOR_KEY, T0, '1b'), {
        type: 'subjectSnapshotsDropped',
        subjectKey: FLOOR_KEY,
        fromMs: T0 + 1,
      })
      const newest = (subjectKey: string) => book.history.snapshotBefore({ subjectKey, beforeMs: T0 + 99 })
      expect(newest(FLOOR_KEY)).toEqual({ throughMs: T0, stateJson: '1b' })
      expect(newest('machine:roll')).toEqual({ throughMs: T0 + 1, stateJson: 'm' })
    },
  },
  {
    rule: 'BR-14',
    name: 'messages wait in the order in which they were queued, whole, at most as many as asked for',
    check: ({ book }) => {
      queue(book, 'b', 'machine:b', T0 + 5)
      queue(book, 'a', 'machine:a', T0 + 6)
      queue(book, 'c', 'machine:c', T0 + 4)
      expect(pendingKeys(book)).toEqual(['b', 'a', 'c'])
      expect(pendingKeys(book, 2)).toEqual(['b', 'a'])
      expect(book.pendingMessages(1)).toMatchObject([
        { ...message('b', 'machine:b'), queuedMs: T0 + 5, attempts: 0 },
      ])
    },
  },
  {
    rule: 'BR-14',
    name: 'a newer message takes the place of an undelivered older one of the same replaceKey',
    check: ({ book }) => {
      queue(book, 'roll-1', 'machine:roll')
      queue(book, 'flat-1', 'machine:flat')
      queue(book, 'roll-2', 'machine:roll')
      expect(pendingKeys(book)).toEqual(['flat-1', 'roll-2'])
    },
  },
  {
    rule: 'BR-14',
    name: 'the same idempotency key again is one message, waiting or gone, and does not push a newer one aside',
    check: ({ book }) => {
      queue(book, 'one')
      queue(book, 'one')
      expect(pendingKeys(book)).toEqual(['one'])
      queue(book, 'two')
      queue(book, 'one')
      expect(pendingKeys(book)).toEqual(['two'])
      book.transaction(() =>
        book.markMessage({ id: book.pendingMessages(1)[0]?.id ?? 0, delivered: true, atMs: T0 }),
      )
      queue(book, 'two')
      expect(pendingKeys(book)).toEqual([])
    },
  },
  {
    rule: 'BR-15',
    name: 'a delivered message waits no more; a failed attempt is counted and waits on in its place',
    check: ({ book }) => {
      queue(book, 'a', 'machine:a')
      queue(book, 'b', 'machine:b')
      const [a, b] = book.pendingMessages(9).map((m) => m.id)
      book.transaction(() => book.markMessage({ id: a ?? 0, delivered: false, atMs: T0 + 1 }))
      book.transaction(() => book.markMessage({ id: a ?? 0, delivered: false, atMs: T0 + 2 }))
      expect(book.pendingMessages(9)).toMatchObject([
        { id: a, attempts: 2 },
        { id: b, attempts: 0 },
      ])
      book.transaction(() => book.markMessage({ id: a ?? 0, delivered: true, atMs: T0 + 3 }))
      expect(pendingKeys(book)).toEqual(['b'])
    },
  },
]
