import { expect } from 'vitest'
import type { Records } from './records.ts'
import type { ContractCase } from './contract.ts'
import {
  FLOOR_KEY,
  T0,
  capSaid,
  deadline,
  episode,
  learnedInput,
  pack,
  reading,
  settingsInput,
} from './record-samples.ts'

const EVER = -Infinity

export const subjectHistoryContract: readonly ContractCase<Records>[] = [
  {
    rule: 'SH-1',
    name: 'the snapshot before a time is the newest strictly before it, of that subject',
    check: ({ book }) => {
      const snapshot = (subjectKey: string, n: number) =>
        ({ type: 'subjectSnapshot', subjectKey, throughMs: T0 + n, stateJson: `${n}` }) as const
      book.transaction(() =>
        book.applyEffects(1, [
          snapshot(FLOOR_KEY, 20),
          snapshot(FLOOR_KEY, 10),
          snapshot('machine:roll', 15),
        ]),
      )
      const before = (n: number) => book.history.snapshotBefore({ subjectKey: FLOOR_KEY, beforeMs: T0 + n })
      expect(before(10)).toBeNull()
      expect(before(20)).toEqual({ throughMs: T0 + 10, stateJson: '10' })
      expect(before(21)).toEqual({ throughMs: T0 + 20, stateJson: '20' })
      expect(book.history.snapshotBefore({ subjectKey: FLOOR_KEY, beforeMs: EVER })).toBeNull()
    },
  },
  {
    rule: 'SH-2',
    name: 'settings: the one in force at a time, then all later ones, oldest first',
    check: ({ book }) => {
      const s = [
        settingsInput(1, T0, 'One'),
        settingsInput(3, T0 + 10, 'Two'),
        settingsInput(4, T0 + 20, 'Three'),
      ]
      book.transaction(() =>
        [s[0], deadline(2), s[1], s[2]].forEach((input) => input && book.appendInput(input)),
      )
      expect(book.history.ordersFrom(T0 - 1)).toEqual(s)
      expect(book.history.ordersFrom(T0 + 9)).toEqual(s)
      expect(book.history.ordersFrom(T0 + 10)).toEqual(s.slice(1))
      expect(book.history.ordersFrom(T0 + 99)).toEqual(s.slice(2))
      expect(book.history.ordersFrom(EVER)).toEqual(s)
    },
  },
  {
    rule: 'SH-2',
    name: 'orders: of each key the one in force, and of what people said only what came later',
    check: ({ book }) => {
      const nights = learnedInput(2, T0 + 5, 'room-nights-1')
      const newer = learnedInput(4, T0 + 20, 'room-nights-2')
      const waiting = { ...learnedInput(5, T0 + 25, 'room-nights-3'), waiting: true }
      const said = capSaid(3, T0 + 10)
      const inputs = [settingsInput(1, T0, 'One'), nights, said, newer, waiting]
      book.transaction(() => inputs.forEach((input) => book.appendInput(input)))
      expect(book.history.ordersFrom(T0 + 7)).toEqual([inputs[0], nights, said, newer])
      expect(book.history.ordersFrom(T0 + 10)).toEqual([inputs[0], nights, newer])
      expect(book.history.ordersFrom(T0 + 30)).toEqual([inputs[0], newer])
    },
  },
  {
    rule: 'SH-3',
    name: 'readings of the sensors named, strictly after a time, by time and then sensor, however they arrived',
    check: ({ book }) => {
      book.transaction(() => book.appendInput(pack(1, [reading(2), reading(4), reading(4, 1, 'not/asked')])))
      book.transaction(() =>
        book.appendInput(pack(2, [reading(1), reading(2, 41, 'a-corner/humidity'), reading(3)])),
      )
      const sensorIds = ['bench/humidity', 'a-corner/humidity']
      expect(book.history.readingsAfter({ sensorIds, afterMs: T0 + 1000 })).toEqual([
        reading(2, 41, 'a-corner/humidity'),
        reading(2),
        reading(3),
        reading(4),
      ])
      expect(book.history.readingsAfter({ sensorIds, afterMs: EVER })).toHaveLength(5)
      expect(book.history.readingsAfter({ sensorIds: [], afterMs: EVER })).toEqual([])
    },
  },
  {
    rule: 'SH-3',
    name: 'readings of the running transaction are seen',
    check: ({ book }) => {
      const seen = book.transaction(() => {
        book.appendInput(pack(1, [reading(1)]))
        return book.history.readingsAfter({ sensorIds: ['bench/humidity'], afterMs: T0 })
      })
      expect(seen).toEqual([reading(1)])
    },
  },
  {
    rule: 'SH-4',
    name: 'episodes of the subject that are open or were closed after a time, by start; withdrawn ones left out',
    check: ({ book }) => {
      const other = { kind: 'room', id: 'store' } as const
      const early = episode(T0, { toMs: T0 + 1, closedMs: T0 + 5 })
      const later = episode(T0 + 10, { toMs: T0 + 11, closedMs: T0 + 15 })
      const open = episode(T0 + 20)
      const gone = episode(T0 + 30)
      const all = [open, later, gone, early, episode(T0, { subject: other })]
      book.transaction(() => {
        book.applyEffects(
          1,
          all.map((e) => ({ type: 'episodeOpened', episode: e }) as const),
        )
        book.applyEffects(1, [{ type: 'episodeWithdrawn', episodeId: gone.id, atMs: T0 }])
      })
      const touched = (afterMs: number) =>
        book.history.episodesTouchedAfter({ subjectKey: FLOOR_KEY, afterMs })
      expect(touched(EVER)).toEqual([early, later, open])
      expect(touched(T0 + 4)).toEqual([early, later, open])
      expect(touched(T0 + 5)).toEqual([later, open])
      expect(touched(T0 + 99)).toEqual([open])
    },
  },
]
