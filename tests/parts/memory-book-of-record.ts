import { orderKeyOf, type Input, type Order, type Reading } from '../../services/core/model/input.ts'
import type {
  BookOfRecord,
  KernelSnapshot,
  RecordsReader,
  SortedReadings,
  SubjectHistory,
} from '../../services/core/model/ports/records.ts'
import { createMemoryEffects, type MemoryEffects } from './memory-effects.ts'
import type { LogFacts } from './memory-log-entries.ts'
import { createMemoryHearsay } from './memory-hearsay.ts'
import { createUndoJournal, type UndoJournal } from './undo-journal.ts'

/** What the book of record shows of what it was told: enough to check every rule of its port. */
export type RecordedFacts = Pick<
  RecordsReader,
  | 'alarm'
  | 'alarmChanges'
  | 'task'
  | 'episodes'
  | 'heardSensors'
  | 'quarantine'
  | 'counts'
  | 'eventsAfter'
  | 'machineQuarters'
  | 'disposals'
  | 'disposalHistory'
  | keyof LogFacts
>

/** A book of record in memory, for tests of what stands above it. Same rules as the real one; nothing is on disk. */
export function createMemoryBookOfRecord(): BookOfRecord {
  return createMemoryRecords().book
}

export function createMemoryRecords(): { book: BookOfRecord; facts: RecordedFacts } {
  const journal = createUndoJournal()
  const effects = createMemoryEffects(journal)
  const hearsay = createMemoryHearsay(journal)
  const inputs: Input[] = []
  const held = new Map<string, Reading>()
  const conflicts = new Map<string, Reading>()
  const single = new Map<'kernel' | 'alive' | 'forwarded', KernelSnapshot | number>()
  const book: BookOfRecord = {
    transaction: journal.transaction,
    ...inputLog({ journal, inputs, held, effects }),
    sortReadings: (readings) => sortReadings(held, readings),
    keepConflicts: (readings) => {
      for (const r of readings) journal.put(conflicts, `${keyOf(r)}|${r.value}`, r)
    },
    applyEffects: (_seq, list) => list.forEach(effects.apply),
    saveKernelSnapshot: (snapshot) => journal.put(single, 'kernel', snapshot),
    latestKernelSnapshot: () => (single.get('kernel') as KernelSnapshot | undefined) ?? null,
    keepRejection: hearsay.keepRejection,
    noteHeard: hearsay.noteHeard,
    pruneSubjectSnapshots: effects.pruneSnapshots,
    pruneReadings: (beforeMs) => {
      const old = [...held].filter(([, r]) => r.atMs < beforeMs)
      for (const [key] of old) journal.drop(held, key)
      return old.length
    },
    lastAliveMs: () => (single.get('alive') as number | undefined) ?? null,
    noteAlive: (atMs) => journal.put(single, 'alive', atMs),
    pendingMessages: effects.pendingMessages,
    markMessage: effects.markMessage,
    pendingNotices: effects.pendingNotices,
    settleNotice: effects.settleNotice,
    forwardedSeq: () => (single.get('forwarded') as number | undefined) ?? 0,
    noteForwarded: (seq) =>
      journal.put(single, 'forwarded', Math.max(seq, (single.get('forwarded') as number | undefined) ?? 0)),
    history: createHistory({ inputs, held, effects }),
    close: () => undefined,
  }
  const counts = (): ReturnType<RecordsReader['counts']> => ({
    readings: held.size,
    conflicts: conflicts.size,
    quarantined: hearsay.quarantined(),
    notJudged: effects.notJudged(),
    inputs: inputs.length,
  })
  return { book, facts: { ...effects.facts, ...hearsay.facts, counts } }
}

interface LogParts {
  readonly journal: UndoJournal
  readonly inputs: Input[]
  readonly held: Map<string, Reading>
  readonly effects: MemoryEffects
}

function inputLog({
  journal,
  inputs,
  held,
  effects,
}: LogParts): Pick<BookOfRecord, 'lastSeq' | 'appendInput' | 'inputsAfter'> {
  return {
    lastSeq: () => inputs.length,
    appendInput: (input) => {
      if (input.seq !== inputs.length + 1)
        throw new RangeError(`seq must be ${inputs.length + 1}, got ${input.seq}`)
      const kept = structuredClone(input)
      for (const r of kept.type === 'readings' ? kept.readings : []) {
        if (held.has(keyOf(r))) throw new RangeError(`reading ${keyOf(r)} is already held`)
        journal.put(held, keyOf(r), r)
      }
      journal.push(inputs, kept)
      if (kept.type === 'settings') effects.event(kept.atMs, 'settings', { id: String(kept.seq) })
    },
    inputsAfter: (afterSeq) =>
      structuredClone(inputs.slice(afterSeq)).map((input) =>
        input.type === 'readings'
          ? { ...input, readings: input.readings.filter((r) => held.has(keyOf(r))) }
          : input,
      ),
  }
}

function sortReadings(held: ReadonlyMap<string, Reading>, readings: readonly Reading[]): SortedReadings {
  const within = new Map<string, Reading>()
  const fresh: Reading[] = []
  const conflicts: Reading[] = []
  let resent = 0
  for (const r of readings) {
    const known = held.get(keyOf(r)) ?? within.get(keyOf(r))
    if (known === undefined) {
      within.set(keyOf(r), r)
      fresh.push(r)
    } else if (known.value === r.value) resent++
    else conflicts.push(r)
  }
  return { fresh, resent, conflicts }
}

function createHistory({ inputs, held, effects }: Omit<LogParts, 'journal'>): SubjectHistory {
  return {
    snapshotBefore: effects.snapshotBefore,
    ordersFrom: (fromMs) => {
      const all = inputs
        .filter((i) => orderKeyOf(i) !== null)
        .map((i) => i as Order)
        .sort((a, b) => a.atMs - b.atMs || a.seq - b.seq)
      const before = all.filter((o) => o.atMs <= fromMs && orderKeyOf(o) !== 'act')
      const newest = new Map(before.map((o) => [orderKeyOf(o), o]))
      return [...before.filter((o) => newest.get(orderKeyOf(o)) === o), ...all.filter((o) => o.atMs > fromMs)]
    },
    readingsAfter: ({ sensorIds, afterMs }) =>
      [...held.values()]
        .filter((r) => r.atMs > afterMs && sensorIds.includes(r.sensorId))
        .sort(
          (a, b) => a.atMs - b.atMs || textOrder(a.sensorId, b.sensorId) || textOrder(a.quantity, b.quantity),
        ),
    episodesTouchedAfter: ({ subjectKey: key, afterMs }) =>
      effects
        .episodes()
        .filter((e) => e.judgedUnder === key && (e.closedMs === null || e.closedMs > afterMs)),
  }
}

function textOrder(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

function keyOf({ sensorId, quantity, atMs }: Reading): string {
  return `${sensorId}|${quantity}|${atMs}`
}
