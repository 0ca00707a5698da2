import type { BadRow } from '../codecs/csv-reading.ts'
import { readLogCsv } from '../codecs/log-csv-import.ts'
import type { FoundEntry } from '../codecs/log-csv-rows.ts'
import { inTurns } from '../codecs/turns.ts'
import {
  logIdOf,
  logMachineOf,
  logTimeOf,
  type LogEntry,
  type LogKind,
  type SaidEntry,
} from '../core/model/log-entry.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { Settings } from '../core/model/settings.ts'
import { sha256 } from './auth/secrets.ts'

/** What an import would do. */
export interface LogPlan {
  /** Lines beside the first. */
  readonly rows: number
  readonly fresh: readonly SaidEntry[]
  /** How many entries stand in the logbook already, as the file says them; void ones too. */
  readonly known: number
  /** What stands there otherwise: it stays as it is. */
  readonly conflicts: readonly BadRow[]
  readonly bad: readonly BadRow[]
  readonly ignored: readonly string[]
}

const MINUTE_MS = 60_000

/**
 * Holds a file against the logbook.
 *
 * PLAN-1 the same file twice adds nothing: an entry without an id gets one from what it is about.
 * PLAN-2 an entry is known by its id, else by its kind, its machine (of a note its subject) and the minute in which it
 *        was.
 * PLAN-3 known and the same, or void here, is left; known and other is a conflict, and what stands here stays. What
 *        stands counts before what was voided beside it.
 */
export async function planImport(
  kind: LogKind,
  text: string,
  { records, settings, nowMs }: { records: RecordsReader; settings: Settings; nowMs: number },
): Promise<LogPlan> {
  const file = await readLogCsv(kind, text, { settings, nowMs })
  const fresh = new Map<string, SaidEntry>()
  const conflicts: BadRow[] = []
  let known = 0
  for await (const found of inTurns(file.found)) {
    const entry = withId(found.entry, found.id ?? ownId(found.entry))
    const standing = fresh.get(logIdOf(entry)) ?? standingOf(entry, records)
    if (standing === null) fresh.set(logIdOf(entry), entry)
    else if (isSame(standing, entry)) known++
    else conflicts.push(conflictOf(found))
  }
  const { rows, bad, ignored } = file
  return { rows, fresh: [...fresh.values()], known, conflicts, bad, ignored }
}

/** What an entry is about, as its id. */
function ownId(entry: SaidEntry): string {
  const about = [entry.kind, subjectOf(entry), logTimeOf(entry), contentApart(entry)]
  return `import-${sha256(JSON.stringify(about)).slice(0, 40)}`
}

function subjectOf(entry: SaidEntry): string {
  return entry.kind === 'note' ? `${entry.subject.kind}:${entry.subject.id}` : entry.machineId
}

/** What of one machine and minute can stand beside each other: other notes, other cares, other heads. */
function contentApart(entry: SaidEntry): string {
  switch (entry.kind) {
    case 'nozzleCheck':
      return ''
    case 'care':
      return entry.care
    case 'note':
      return entry.text
    case 'headChange':
      return entry.headId
  }
}

function withId(entry: SaidEntry, id: string): SaidEntry {
  switch (entry.kind) {
    case 'nozzleCheck':
      return { ...entry, checkId: id }
    case 'care':
      return { ...entry, careId: id }
    case 'note':
      return { ...entry, noteId: id }
    case 'headChange':
      return { ...entry, changeId: id }
  }
}

/** What stands here of the same; else what was voided. */
function standingOf(entry: SaidEntry, records: RecordsReader): LogEntry | null {
  const byId = records.logHistory({ kind: entry.kind, id: logIdOf(entry) }).at(-1)
  if (byId) return byId
  const fromMs = Math.floor(logTimeOf(entry) / MINUTE_MS) * MINUTE_MS
  const machineId = logMachineOf(entry)
  const window = { fromMs, toMs: fromMs + MINUTE_MS, ...(machineId === null ? {} : { machineId }) }
  const around = records
    .logEntriesWithVoid({ kind: entry.kind, ...window })
    .filter((e) => subjectOf(e) === subjectOf(entry) && contentApart(e) === contentApart(entry))
  return around.find((e) => !e.void) ?? around[0] ?? null
}

function isSame(standing: SaidEntry & { void: boolean }, entry: SaidEntry): boolean {
  return standing.void || JSON.stringify(contentOf(standing)) === JSON.stringify(contentOf(entry))
}

/** What a file can say of an entry: its time to the minute, and without where nozzles were marked. */
function contentOf(entry: SaidEntry): readonly unknown[] {
  const common = [entry.kind, subjectOf(entry), Math.floor(logTimeOf(entry) / MINUTE_MS), contentApart(entry)]
  switch (entry.kind) {
    case 'nozzleCheck': {
      const missing = entry.missing.filter((m) => m.missingNozzles > 0)
      const found = missing.map((m) => `${m.channelGroupId} ${m.missingNozzles}`).sort()
      return [...common, entry.reason, found, entry.note.trim()]
    }
    case 'care':
      return [...common, [...entry.channelGroupIds].sort(), entry.helpedSaid, entry.note.trim()]
    case 'note':
      return common
    case 'headChange':
      return [...common, entry.note.trim()]
  }
}

function conflictOf({ lines }: FoundEntry): BadRow {
  const reason =
    'stands in the logbook with other words or numbers, and stays as it is there: correct it there, or take the line out'
  return { line: lines[0] ?? 0, field: 'line', reason }
}
