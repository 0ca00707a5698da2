import {
  logIdOf,
  logMachineOf,
  logTimeOf,
  type LogEntry,
  type LogEntryOf,
  type LogKind,
} from '../../services/core/model/log-entry.ts'
import type { LogWindow, RecordsReader } from '../../services/core/model/ports/records.ts'
import { judgeCares } from '../../services/core/study/helped.ts'
import type { UndoJournal } from './undo-journal.ts'

export type LogFacts = Pick<
  RecordsReader,
  'nozzleChecks' | 'notes' | 'headChanges' | 'careEntries' | 'logHistory' | 'nozzleCheckHistory'
>

/** The logbook in a plain list. */
export function createMemoryLogEntries(journal: UndoJournal): {
  add: (entry: LogEntry) => void
  facts: LogFacts
} {
  const entries: LogEntry[] = []
  const historyOf = <K extends LogKind>(kind: K, id: string) =>
    entries.filter((e): e is LogEntryOf<K> => e.kind === kind && logIdOf(e) === id)
  const of =
    <K extends LogKind>(kind: K) =>
    ({ fromMs, toMs, machineId }: LogWindow): LogEntryOf<K>[] =>
      entries
        .filter((e): e is LogEntryOf<K> => e.kind === kind && historyOf(kind, logIdOf(e)).at(-1) === e)
        .filter((e) => !e.void && logTimeOf(e) >= fromMs && logTimeOf(e) < toMs)
        .filter((e) => machineId === undefined || logMachineOf(e) === machineId)
        .sort((a, b) => logTimeOf(a) - logTimeOf(b))
  const always = { fromMs: -Infinity, toMs: Infinity }
  return {
    add: (entry) => journal.push(entries, structuredClone(entry)),
    facts: {
      nozzleChecks: of('nozzleCheck'),
      notes: of('note'),
      headChanges: of('headChange'),
      careEntries: (window) =>
        judgeCares(of('care')(window), { checks: of('nozzleCheck')(always), cares: of('care')(always) }),
      logHistory: ({ kind, id }) => historyOf(kind, id),
      nozzleCheckHistory: (id) => historyOf('nozzleCheck', id),
    },
  }
}
