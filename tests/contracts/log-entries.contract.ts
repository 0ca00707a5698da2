import { expect } from 'vitest'
import type { Effect } from '../../services/core/model/effect.ts'
import { logIdOf, type LogEntry } from '../../services/core/model/log-entry.ts'
import type { ContractCase } from './contract.ts'
import { careEntry, headChange, logNote, nozzleCheck, T0 } from './record-samples.ts'
import type { ReadRecords } from './records-reader.contract.ts'

const HOUR = 3_600_000
const ALWAYS = { fromMs: T0 - 99 * HOUR, toMs: T0 + 99 * HOUR }

const write = ({ book }: ReadRecords, entries: readonly LogEntry[]): void => {
  const effects = entries.map((entry, at): Effect => ({ type: 'logEntryNoted', entry, atMs: T0 + at }))
  book.transaction(() => book.applyEffects(1, effects))
}

export const ofLogEntries: readonly ContractCase<ReadRecords>[] = [
  {
    rule: 'RR-16',
    name: 'the newest entry of each check that is not void, the oldest first, from a time on and before another',
    check: (r) => {
      write(r, [
        nozzleCheck('b', { checkedMs: T0 + 5 }),
        nozzleCheck('a', { checkedMs: T0 }),
        nozzleCheck('out', { checkedMs: T0 + 9 }),
        nozzleCheck('c', { checkedMs: T0 + 6 }),
        nozzleCheck('b', { checkedMs: T0 + 7, note: 'corrected' }),
        nozzleCheck('c', { checkedMs: T0 + 6, void: true }),
        nozzleCheck('gone', { checkedMs: T0 + 3 }),
        nozzleCheck('gone', { checkedMs: T0 + 99 }),
      ])
      const seen = r.reader.nozzleChecks({ fromMs: T0, toMs: T0 + 9 })
      expect(seen.map((c) => `${c.checkId} ${c.note}`.trim())).toEqual(['a', 'b corrected'])
    },
  },
  {
    rule: 'RR-16',
    name: 'of one machine or of all; a note is of a machine when it is about it',
    check: (r) => {
      write(r, [
        nozzleCheck('mine'),
        nozzleCheck('theirs', { machineId: 'other' }),
        logNote('room'),
        logNote('machine', { subject: { kind: 'machine', id: 'roll' } }),
        headChange('h'),
      ])
      const mine = { ...ALWAYS, machineId: 'roll' }
      expect(r.reader.nozzleChecks(mine)).toEqual([nozzleCheck('mine')])
      expect(r.reader.notes(mine).map((n) => n.noteId)).toEqual(['machine'])
      expect(r.reader.notes(ALWAYS)).toHaveLength(2)
      expect([r.reader.headChanges(mine), r.reader.headChanges({ ...mine, machineId: 'other' })]).toEqual([
        [headChange('h')],
        [],
      ])
    },
  },
  {
    rule: 'RR-17',
    name: 'a cleaning is told with whether it helped, by checks that lie outside of what is asked for',
    check: (r) => {
      const missing = (missingNozzles: number) => [{ channelGroupId: 'roll-colour', missingNozzles }]
      write(r, [
        nozzleCheck('before', { checkedMs: T0 - HOUR, missing: missing(4) }),
        careEntry('c', { doneMs: T0 }),
        careEntry('void', { doneMs: T0, void: true }),
        nozzleCheck('after', { checkedMs: T0 + HOUR, missing: missing(1) }),
      ])
      const found = r.reader.careEntries({ fromMs: T0, toMs: T0 + 1, machineId: 'roll' })
      expect(found).toEqual([{ ...careEntry('c', { doneMs: T0 }), helped: 'yes' }])
      expect(r.reader.careEntries({ fromMs: T0 + 1, toMs: T0 + 2 })).toEqual([])
    },
  },
  {
    rule: 'RR-32',
    name: 'of one kind and machine, void ones too, each as it was said last',
    check: (r) => {
      write(r, [
        nozzleCheck('a', { checkedMs: T0, note: 'first' }),
        nozzleCheck('a', { checkedMs: T0, void: true }),
        nozzleCheck('b', { checkedMs: T0 + 1 }),
        nozzleCheck('theirs', { machineId: 'other', checkedMs: T0 }),
        nozzleCheck('later', { checkedMs: T0 + 2 }),
        careEntry('c', { doneMs: T0 }),
      ])
      const window = { fromMs: T0, toMs: T0 + 2, machineId: 'roll' }
      const seen = r.reader.logEntriesWithVoid({ ...window, kind: 'nozzleCheck' })
      expect(seen.map((e) => [logIdOf(e), e.void])).toEqual([
        ['a', true],
        ['b', false],
      ])
    },
  },
  {
    rule: 'RR-18',
    name: 'every entry of a kind and id, void ones too, the oldest first; none of one that is not known',
    check: (r) => {
      const later = nozzleCheck('x', { note: 'later', void: true })
      write(r, [nozzleCheck('x'), careEntry('x'), nozzleCheck('y'), later])
      expect(r.reader.nozzleCheckHistory('x')).toEqual([nozzleCheck('x'), later])
      expect(r.reader.logHistory({ kind: 'nozzleCheck', id: 'x' })).toEqual([nozzleCheck('x'), later])
      expect(r.reader.logHistory({ kind: 'care', id: 'x' })).toEqual([careEntry('x')])
      expect(r.reader.logHistory({ kind: 'note', id: 'x' })).toEqual([])
    },
  },
]
