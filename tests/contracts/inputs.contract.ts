import { expect } from 'vitest'
import type { Input } from '../../services/core/model/input.ts'
import type { Records } from './records.ts'
import type { ContractCase } from './contract.ts'
import {
  alarm,
  deadline,
  episode,
  heard,
  message,
  pack,
  reading,
  rejection,
  settingsInput,
  T0,
} from './record-samples.ts'

const STOP = new Error('stop')

/** Runs `work` in a transaction that fails at its end. */
function undone(book: Records['book'], work: () => void): void {
  const run = (): void => {
    book.transaction(() => {
      work()
      throw STOP
    })
  }
  expect(run).toThrow(STOP)
}

export const inputsContract: readonly ContractCase<Records>[] = [
  {
    rule: 'BR-1',
    name: 'a transaction gives what its work gives, and keeps what it wrote',
    check: ({ book }) => {
      expect(book.transaction(() => (book.appendInput(deadline(1)), 'done'))).toBe('done')
      expect([...book.inputsAfter(0)]).toEqual([deadline(1)])
    },
  },
  {
    rule: 'BR-1',
    name: 'a transaction that throws leaves nothing of anything it wrote, and what stood before stands',
    check: ({ book, facts }) => {
      book.transaction(() => book.appendInput(pack(1, [reading(1)])))
      const before = [
        facts.counts(),
        facts.heardSensors(),
        facts.quarantine(10),
        facts.eventsAfter({ afterId: 0, limit: 9 }),
      ]
      undone(book, () => {
        book.appendInput(pack(2, [reading(2, 50, 'new/sensor')]))
        book.appendInput(settingsInput(3, T0 + 5000))
        book.keepConflicts([reading(1, 99)], T0)
        book.keepRejection(rejection('a/b', 'x'), T0)
        book.noteHeard([heard()])
        book.noteAlive(T0)
        book.saveKernelSnapshot({ seq: 2, kernelVersion: '1', stateJson: '{}' })
        book.pruneReadings(T0 + 99_000)
        book.applyEffects(2, [
          { type: 'episodeOpened', episode: episode(T0) },
          { type: 'alarmChanged', alarm: alarm('a'), atMs: T0 },
          { type: 'messageQueued', message: message('m'), atMs: T0 },
          { type: 'readingsNotJudged', nodeId: 'bench', count: 3, atMs: T0 },
          { type: 'subjectSnapshot', subjectKey: 'room:floor', throughMs: T0, stateJson: '{}' },
        ])
      })
      expect([
        facts.counts(),
        facts.heardSensors(),
        facts.quarantine(10),
        facts.eventsAfter({ afterId: 0, limit: 9 }),
      ]).toEqual(before)
      expect([...book.inputsAfter(0)]).toEqual([pack(1, [reading(1)])])
      expect([book.lastAliveMs(), book.latestKernelSnapshot(), facts.alarm('a')]).toEqual([null, null, null])
      expect(book.pendingMessages(9)).toEqual([])
      expect(book.history.snapshotBefore({ subjectKey: 'room:floor', beforeMs: T0 + 1 })).toBeNull()
      expect(facts.episodes({ fromMs: 0, toMs: T0 * 2 })).toEqual([])
    },
  },
  {
    rule: 'BR-1',
    name: 'a sensor first seen in a failed transaction can be written afterwards',
    check: ({ book }) => {
      const fromNew = pack(1, [reading(1, 45, 'new/one')])
      undone(book, () => book.appendInput(fromNew))
      book.transaction(() => book.appendInput(pack(1, [reading(1, 45, 'other/one')])))
      book.transaction(() => book.appendInput({ ...fromNew, seq: 2 }))
      const sensors = [...book.inputsAfter(0)].map((i) =>
        i.type === 'readings' ? i.readings[0]?.sensorId : '',
      )
      expect(sensors).toEqual(['other/one', 'new/one'])
    },
  },
  {
    rule: 'BR-2',
    name: 'lastSeq is 0 in an empty book, then that of the newest input, also within and after a failed transaction',
    check: ({ book }) => {
      expect(book.lastSeq()).toBe(0)
      book.transaction(() => [1, 2].forEach((seq) => book.appendInput(deadline(seq))))
      expect(book.lastSeq()).toBe(2)
      undone(book, () => {
        book.appendInput(deadline(3))
        expect(book.lastSeq()).toBe(3)
      })
      expect(book.lastSeq()).toBe(2)
    },
  },
  {
    rule: 'BR-3',
    name: 'readings are sorted against those held: fresh in the order given, resent counted, others in conflict',
    check: ({ book }) => {
      book.transaction(() => book.appendInput(pack(1, [reading(1, 45), reading(2, 46)])))
      const offered = [reading(5), reading(1, 45), reading(2, 99), reading(3), reading(1, 45, 'bench/other')]
      const sorted = book.sortReadings(offered)
      expect(sorted).toEqual({
        fresh: [reading(5), reading(3), reading(1, 45, 'bench/other')],
        resent: 1,
        conflicts: [reading(2, 99)],
      })
      expect(book.sortReadings([reading(2, 99)])).toEqual({
        fresh: [],
        resent: 0,
        conflicts: [reading(2, 99)],
      })
    },
  },
  {
    rule: 'BR-3',
    name: 'readings are sorted against each other: the first of a time is fresh, the same again a resend, another a conflict',
    check: ({ book }) => {
      const sorted = book.sortReadings([reading(1, 40), reading(1, 40), reading(1, 41), reading(2, 40)])
      expect(sorted).toEqual({
        fresh: [reading(1, 40), reading(2, 40)],
        resent: 1,
        conflicts: [reading(1, 41)],
      })
    },
  },
  {
    rule: 'BR-3',
    name: 'another quantity of the same sensor and time is another reading',
    check: ({ book }) => {
      book.transaction(() => book.appendInput(pack(1, [reading(1, 20)])))
      const warm = { ...reading(1, 21), quantity: 'temperature' as const }
      expect(book.sortReadings([warm]).fresh).toEqual([warm])
    },
  },
  {
    rule: 'BR-3',
    name: 'sorting writes nothing, and sees what the running transaction wrote',
    check: ({ book, facts }) => {
      expect(book.sortReadings([reading(1)]).fresh).toHaveLength(1)
      expect(book.sortReadings([reading(1)]).fresh).toHaveLength(1)
      expect(facts.counts().readings).toBe(0)
      book.transaction(() => {
        book.appendInput(pack(1, [reading(1)]))
        expect(book.sortReadings([reading(1)])).toEqual({ fresh: [], resent: 1, conflicts: [] })
      })
    },
  },
  {
    rule: 'BR-4',
    name: 'an input whose seq is not the next is refused, with the number that was due',
    check: ({ book }) => {
      book.transaction(() => book.appendInput(deadline(1)))
      for (const seq of [0, 1, 3]) {
        expect(() => book.transaction(() => book.appendInput(deadline(seq)))).toThrow(/seq .*2.* got/)
      }
      expect(book.lastSeq()).toBe(1)
    },
  },
  {
    rule: 'BR-4',
    name: 'a reading that is held already is refused',
    check: ({ book, facts }) => {
      book.transaction(() => book.appendInput(pack(1, [reading(1)])))
      expect(() => book.transaction(() => book.appendInput(pack(2, [reading(2), reading(1)])))).toThrow(
        /already held/,
      )
      expect(facts.counts()).toMatchObject({ readings: 1, inputs: 1 })
    },
  },
  {
    rule: 'BR-8',
    name: 'inputs come back in order and whole, from after the seq asked for',
    check: ({ book }) => {
      const act = { actorId: 'p1', via: 'phone', atMs: T0 } as const
      const stamp = { atMs: T0 + 9, receivedMs: T0 + 9 }
      const inputs: Input[] = [
        settingsInput(1, T0),
        pack(2, [reading(1), reading(1, 0.1 + 0.2, 'bench/other'), reading(2)]),
        { type: 'nodeStatus', seq: 3, ...stamp, nodeId: 'bench', online: false },
        { type: 'readings', seq: 4, ...stamp, nodeId: 'bench', readings: [] },
        { type: 'monitorDark', seq: 5, ...stamp, fromMs: T0 - 5 },
        { type: 'taskSignedOff', seq: 6, ...stamp, act, taskId: 't', note: 'wiped "twice"' },
        { type: 'alarmAcknowledged', seq: 7, ...stamp, act, alarmId: 'a' },
        {
          type: 'nozzleCheckLogged',
          seq: 8,
          ...stamp,
          act,
          machineId: 'roll',
          reason: 'routine',
          missing: [],
        },
        deadline(9),
      ]
      book.transaction(() => inputs.forEach((input) => book.appendInput(input)))
      expect([...book.inputsAfter(0)]).toEqual(inputs)
      expect([...book.inputsAfter(7)]).toEqual(inputs.slice(7))
      expect([...book.inputsAfter(9)]).toEqual([])
    },
  },
  {
    rule: 'BR-8',
    name: 'readings of an input come in the order of (atMs, sensorId, quantity) in which the engine gives them',
    check: ({ book }) => {
      const at = (atS: number, sensorId: string, quantity: 'humidity' | 'temperature') => ({
        ...reading(atS, 20, sensorId),
        quantity,
      })
      const given = [
        at(1, 'b/a', 'humidity'),
        at(1, 'b/a', 'temperature'),
        at(1, 'b/b', 'humidity'),
        at(2, 'Z/a', 'humidity'),
        at(2, 'a/a', 'humidity'),
        at(3, 'a/a', 'temperature'),
      ]
      // Heard before in the opposite order, so that no order of first hearing can pass for it.
      const before = given.map((r) => ({ ...r, atMs: r.atMs - 60_000 })).reverse()
      book.transaction(() => book.appendInput(pack(1, before)))
      book.transaction(() => book.appendInput(pack(2, given)))
      expect([...book.inputsAfter(1)]).toEqual([pack(2, given)])
    },
  },
  {
    rule: 'BR-8',
    name: 'a log of some thousand inputs comes back without a gap',
    check: ({ book }) => {
      const seqs = Array.from({ length: 2500 }, (_, i) => i + 1)
      book.transaction(() => seqs.forEach((seq) => book.appendInput(deadline(seq))))
      expect([...book.inputsAfter(0)].map((i) => i.seq)).toEqual(seqs)
    },
  },
]
