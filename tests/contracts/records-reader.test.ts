import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import type { RecordsReader } from '../../services/core/model/ports/records.ts'
import { createSqliteBench } from '../parts/sqlite-records.ts'
import { breaksRule, rulesIn } from './contract.ts'
import { recordsReaderContract } from './records-reader.contract.ts'

const bench = createSqliteBench()
afterEach(bench.closeAll)

const broken: readonly [string, string, (sound: RecordsReader) => Partial<RecordsReader>][] = [
  ['RR-1', 'gives alarms oldest first', (r) => ({ openAlarms: () => [...r.openAlarms()].reverse() })],
  [
    'RR-14',
    'gives the change at the end',
    (r) => ({ alarmChanges: (q) => r.alarmChanges({ ...q, toMs: q.toMs + 1 }) }),
  ],
  ['RR-15', 'begins at the beginning of time', () => ({ recordBeginsMs: () => 0 })],
  ['RR-2', 'has no limit', (r) => ({ tasks: (q) => r.tasks({ ...q, limit: 99 }) })],
  [
    'RR-3',
    'gives the episode that begins at the end',
    (r) => ({ episodes: (q) => r.episodes({ ...q, toMs: q.toMs + 1 }) }),
  ],
  ['RR-4', 'gives one reading in all', (r) => ({ latestReadings: () => r.latestReadings().slice(0, 1) })],
  ['RR-5', 'gives the reading at the end', (r) => ({ series: (q) => r.series({ ...q, toMs: q.toMs + 1 }) })],
  [
    'RR-5',
    'dates a bucket by the window',
    (r) => ({ series: (q) => r.series(q).map((p) => ({ ...p, atMs: Math.max(p.atMs, q.fromMs) })) }),
  ],
  [
    'RR-5',
    'takes the highest for the last',
    (r) => ({ series: (q) => r.series(q).map((p) => ({ ...p, last: p.max })) }),
  ],
  [
    'RR-6',
    'gives the reading of the very time',
    (r) => ({ readingBefore: (q) => r.readingBefore({ ...q, atMs: q.atMs + 1 }) }),
  ],
  ['RR-19', 'has no limit', (r) => ({ readings: (q) => r.readings({ ...q, limit: 99 }) })],
  [
    'RR-19',
    'gives the reading at the end',
    (r) => ({ readings: (q) => r.readings({ ...q, toMs: q.toMs + 1 }) }),
  ],
  [
    'RR-7',
    'gives the event asked after',
    (r) => ({ eventsAfter: (q) => r.eventsAfter({ ...q, afterId: q.afterId - 1 }) }),
  ],
  [
    'RR-8',
    'counts inputs for readings',
    (r) => ({ counts: () => ({ ...r.counts(), readings: r.counts().inputs }) }),
  ],
  [
    'RR-10',
    'counts the input itself',
    (r) => ({ readingsAfterInput: (seq) => r.readingsAfterInput(seq - 1) }),
  ],
  [
    'RR-11',
    'leaves out the last quarter',
    (r) => ({ machineQuarters: (q) => r.machineQuarters({ ...q, toMs: q.toMs - 1 }) }),
  ],
  [
    'RR-30',
    'keeps the last dose for the highest',
    (r) => ({
      machineStretches: (q) =>
        r.machineStretches(q).map((s) => ({ ...s, inks: s.inks.map((ink) => ({ ...ink, high: ink.last })) })),
    }),
  ],
  [
    'RR-31',
    'gives the task that ended at the end',
    (r) => ({ tasksEnded: (q) => r.tasksEnded({ ...q, toMs: q.toMs + 1 }) }),
  ],
  [
    'RR-9',
    'gives the oldest settings first',
    (r) => ({ settingsHistory: (n) => [...r.settingsHistory(n)].reverse() }),
  ],
  [
    'RR-12',
    'counts a corrected disposal twice',
    (r) => ({ disposals: (n) => r.disposals(n).flatMap((d) => r.disposalHistory(d.disposalId)) }),
  ],
  ['RR-12', 'has no limit', (r) => ({ disposals: (q) => r.disposals({ ...q, limit: 99 }) })],
  [
    'RR-12',
    'gives the disposal at the end',
    (r) => ({ disposals: (q) => r.disposals({ ...q, toMs: q.toMs + 1 }) }),
  ],
  [
    'RR-33',
    'counts the first entry too',
    (r) => ({ corrections: (q) => new Map([...r.corrections(q)].map(([id, n]) => [id, n + 1])) }),
  ],
  ['RR-12', 'gives the oldest disposal first', (r) => ({ disposals: (n) => [...r.disposals(n)].reverse() })],
  [
    'RR-13',
    'forgets what an entry said before',
    (r) => ({ disposalHistory: (id) => r.disposalHistory(id).slice(-1) }),
  ],
  [
    'RR-16',
    'gives the check at the end',
    (r) => ({ nozzleChecks: (q) => r.nozzleChecks({ ...q, toMs: q.toMs + 1 }) }),
  ],
  [
    'RR-16',
    'gives a check by what it said first',
    (r) => ({
      nozzleChecks: (q) => r.nozzleChecks(q).flatMap((c) => r.nozzleCheckHistory(c.checkId).slice(0, 1)),
    }),
  ],
  [
    'RR-16',
    'gives the newest check first',
    (r) => ({ nozzleChecks: (q) => [...r.nozzleChecks(q)].reverse() }),
  ],
  [
    'RR-16',
    'gives the notes of all machines',
    (r) => ({ notes: ({ fromMs, toMs }) => r.notes({ fromMs, toMs }) }),
  ],
  [
    'RR-16',
    'gives the new heads of all machines',
    (r) => ({ headChanges: ({ fromMs, toMs }) => r.headChanges({ fromMs, toMs }) }),
  ],
  [
    'RR-17',
    'never knows whether it helped',
    (r) => ({ careEntries: (q) => r.careEntries(q).map((c) => ({ ...c, helped: 'unknown' })) }),
  ],
  [
    'RR-32',
    'forgets what is void',
    (r) => ({ logEntriesWithVoid: (q) => r.logEntriesWithVoid(q).filter((e) => !e.void) }),
  ],
  [
    'RR-18',
    'forgets what is void',
    (r) => ({ nozzleCheckHistory: (id) => r.nozzleCheckHistory(id).filter((c) => !c.void) }),
  ],
  [
    'RR-18',
    'takes one kind for another',
    (r) => ({ logHistory: ({ id }) => r.logHistory({ kind: 'note', id }) }),
  ],
]

describe('a records reader in SQLite', () => {
  it.each(recordsReaderContract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))(
    '%s',
    (_name, check) => {
      check(bench.open())
    },
  )
})

describe('the contract of a records reader', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(new URL('../../services/core/model/ports/records.ts', import.meta.url), 'utf8')
    expect([...new Set(recordsReaderContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'RR'))
  })

  it.each(broken)('%s refuses a reader that %s', (rule, _fault, change) => {
    const makeBroken = () => {
      const { book, reader } = bench.open()
      return { book, reader: { ...reader, ...change(reader) } }
    }
    expect(breaksRule(recordsReaderContract, rule, makeBroken)).toBe(true)
  })
})
