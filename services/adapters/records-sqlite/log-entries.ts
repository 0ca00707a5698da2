import type { Database } from 'better-sqlite3'
import {
  logIdOf,
  logMachineOf,
  logTimeOf,
  type LogEntry,
  type LogEntryOf,
  type LogKind,
} from '../../core/model/log-entry.ts'
import type { LogWindow, RecordsReader } from '../../core/model/ports/records.ts'
import { CHECK_AFTER_MS, CHECK_BEFORE_MS, judgeCares } from '../../core/study/helped.ts'

export interface LogEntryTable {
  readonly add: (entry: LogEntry, loggedMs: number) => void
}

/** Entries are only ever added: a correction is an entry of the same kind and id, and the newest counts. */
export function createLogEntryTable(db: Database): LogEntryTable {
  const insert = db.prepare<[string, string, string | null, number, number, number, string]>(
    'INSERT INTO log_entry (kind, id, machine_id, at_ms, logged_ms, void, json) VALUES (?, ?, ?, ?, ?, ?, ?)',
  )
  return {
    add: (entry, loggedMs) => {
      const json = JSON.stringify(entry)
      const isVoid = entry.void ? 1 : 0
      insert.run(entry.kind, logIdOf(entry), logMachineOf(entry), logTimeOf(entry), loggedMs, isVoid, json)
    },
  }
}

type LogReader = Pick<
  RecordsReader,
  | 'nozzleChecks'
  | 'notes'
  | 'headChanges'
  | 'careEntries'
  | 'logHistory'
  | 'nozzleCheckHistory'
  | 'logEntriesWithVoid'
>

type Asked = { kind: LogKind; fromMs: number; toMs: number; machineId: string | null; withVoid: 0 | 1 }

export function logEntryQueries(db: Database): LogReader {
  const newest = db.prepare<[Asked], { json: string }>(
    `SELECT json FROM log_entry e
     WHERE kind = @kind AND at_ms >= @fromMs AND at_ms < @toMs AND (void = 0 OR @withVoid = 1)
       AND (@machineId IS NULL OR machine_id = @machineId)
       AND NOT EXISTS (SELECT 1 FROM log_entry n WHERE n.kind = e.kind AND n.id = e.id AND n.entry > e.entry)
     ORDER BY at_ms, entry`,
  )
  const history = db.prepare<[string, string], { json: string }>(
    'SELECT json FROM log_entry WHERE kind = ? AND id = ? ORDER BY entry',
  )
  const of =
    <K extends LogKind>(kind: K) =>
    ({ fromMs, toMs, machineId }: LogWindow) =>
      newest
        .all({ kind, fromMs, toMs, machineId: machineId ?? null, withVoid: 0 })
        .map(({ json }) => JSON.parse(json) as LogEntryOf<K>)
  const historyOf = <K extends LogKind>(kind: K, id: string) =>
    history.all(kind, id).map(({ json }) => JSON.parse(json) as LogEntryOf<K>)
  const nozzleChecks = of('nozzleCheck')
  const cares = of('care')
  return {
    nozzleChecks,
    notes: of('note'),
    headChanges: of('headChange'),
    careEntries: (window) => {
      const around = {
        ...window,
        fromMs: window.fromMs - CHECK_BEFORE_MS,
        toMs: window.toMs + CHECK_AFTER_MS,
      }
      return judgeCares(cares(window), { checks: nozzleChecks(around), cares: cares(around) })
    },
    logHistory: ({ kind, id }) => historyOf(kind, id),
    nozzleCheckHistory: (id) => historyOf('nozzleCheck', id),
    logEntriesWithVoid: ({ kind, fromMs, toMs, machineId }) =>
      newest
        .all({ kind, fromMs, toMs, machineId: machineId ?? null, withVoid: 1 })
        .map(({ json }) => JSON.parse(json) as LogEntry),
  }
}
