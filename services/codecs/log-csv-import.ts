import type { LogKind } from '../core/model/log-entry.ts'
import { readCsv, type BadRow, type CsvRow } from './csv-reading.ts'
import { RowError, type LogFileContext } from './log-csv-cells.ts'
import { joinChecks, type ReadRow } from './log-csv-checks.ts'
import { LOG_COLUMNS, READ_LOG_ROW, type FoundEntry } from './log-csv-rows.ts'
import { inTurns } from './turns.ts'

export interface LogFile {
  readonly rows: number
  readonly found: readonly FoundEntry[]
  readonly bad: readonly BadRow[]
  /** Columns that nobody reads. */
  readonly ignored: readonly string[]
}

/**
 * Reads a file of entries of one kind, a few lines a turn.
 *
 * IMPORT-1 every line that cannot be taken is named by its number, its column and a cure; the others are read on.
 * IMPORT-2 lines of one nozzle check (same id, or same machine and time) are one check. If one of them cannot be taken,
 *          none is: a check without it would call its channel group clear.
 * IMPORT-3 a time with an offset is that instant; without one it is UTC in a column that says so, else on the shop's
 *          clock; a day alone is its noon. Other forms are refused, since 3/4 is two days.
 * IMPORT-4 machines, heads, channel groups, rooms and bottles are named by id or by title.
 * IMPORT-5 a check that does not say why it was made is taken as one on suspicion, so that it passes for no sample of all
 *          nights.
 * IMPORT-6 a file of the longest allowed never holds up others: they have their turn in between.
 */
export async function readLogCsv(kind: LogKind, text: string, context: LogFileContext): Promise<LogFile> {
  const file = await readCsv(text)
  if (!file.ok) return refused(0, file.bad)
  const columns = LOG_COLUMNS[kind]
  const lacking = columns.needed.find((names) => !names.some((name) => file.headings.includes(name)))
  if (lacking) {
    const reason = `the first line names no such column: add one called ${lacking.join(' or ')}`
    return refused(file.rows.length, { line: 1, field: lacking[0] ?? '', reason })
  }
  const bad: BadRow[] = []
  const read: ReadRow[] = []
  for await (const row of inTurns(file.rows)) read.push({ row, part: readRow(kind, row, { context, bad }) })
  const found = kind === 'nozzleCheck' ? await joinChecks(read, bad) : await eachOnce(read, bad)
  const known = [...columns.needed.flat(), ...columns.others, 'id', 'logged_by']
  const isKnown = (heading: string) => known.includes(heading) || heading.endsWith('_title')
  return {
    rows: file.rows.length,
    found,
    bad: bad.sort((a, b) => a.line - b.line),
    ignored: file.headings.filter((h) => !isKnown(h)),
  }
}

function refused(rows: number, bad: BadRow): LogFile {
  return { rows, found: [], bad: [bad], ignored: [] }
}

function readRow(
  kind: LogKind,
  row: CsvRow,
  { context, bad }: { context: LogFileContext; bad: BadRow[] },
): FoundEntry | null {
  try {
    return READ_LOG_ROW[kind](row, context)
  } catch (error) {
    if (!(error instanceof RowError)) throw error
    bad.push({ line: row.line, field: error.field, reason: error.message })
    return null
  }
}

/** Entries that take one line each: the same id again is refused. */
async function eachOnce(rows: readonly ReadRow[], bad: BadRow[]): Promise<readonly FoundEntry[]> {
  const lineOf = new Map<string, number>()
  const found: FoundEntry[] = []
  for await (const { row, part } of inTurns(rows)) {
    if (part === null) continue
    const before = part.id === null ? undefined : lineOf.get(part.id)
    if (part.id !== null && before === undefined) lineOf.set(part.id, row.line)
    if (before === undefined) found.push(part)
    else {
      const reason = `${part.id ?? ''} stands on line ${before} already: keep one of them`
      bad.push({ line: row.line, field: 'id', reason })
    }
  }
  return found
}
