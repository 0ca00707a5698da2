import { Temporal } from 'temporal-polyfill'
import { CHECK_REASONS } from '../core/model/act.ts'
import {
  ENTRY_AHEAD_MS,
  logIdSchema,
  LOGGED_CARES,
  OLDEST_ENTRY_MS,
  saidEntrySchema,
  type LogKind,
  type SaidEntry,
} from '../core/model/log-entry.ts'
import type { Settings } from '../core/model/settings.ts'
import { readCsv, type BadRow, type CsvRow } from './csv-reading.ts'
import { groupsOf, LIST_SEPARATOR } from './log-csv.ts'

/** An entry as a file says it. */
export interface FoundEntry {
  /** The lines it stands on. */
  readonly lines: readonly number[]
  /** The id that the file gives, or null: then it is known by what it is about. */
  readonly id: string | null
  readonly entry: SaidEntry
}

export interface LogFile {
  readonly rows: number
  readonly found: readonly FoundEntry[]
  readonly bad: readonly BadRow[]
  /** Columns that nobody reads. */
  readonly ignored: readonly string[]
}

export interface LogFileContext {
  readonly settings: Settings
  readonly nowMs: number
}

interface ReadRow {
  readonly row: CsvRow
  /** Null where the line cannot be taken. */
  readonly part: FoundEntry | null
}

/** Stands for an id until the entry has one. */
const NO_ID = 'none'

/**
 * Reads a file of entries of one kind.
 *
 * IMPORT-1 every line that cannot be taken is named by its number, its column and a cure; the others are read on.
 * IMPORT-2 lines of one nozzle check (same id, or same machine and time) are one check. If one of them cannot be taken,
 *          none is: a check without it would call its channel group clear.
 * IMPORT-3 a time with an offset is that instant; without one it is UTC in a column that says so, else on the shop's
 *          clock; a day alone is its noon. Other forms are refused, since 3/4 is two days.
 * IMPORT-4 machines, heads, channel groups, rooms and bottles are named by id or by title.
 * IMPORT-5 a check that does not say why it was made is taken as one on suspicion, so that it passes for no sample of all
 *          nights.
 */
export function readLogCsv(kind: LogKind, text: string, context: LogFileContext): LogFile {
  const reading = beginLogCsv(kind, text, context)
  reading.readThrough(Infinity)
  return reading.finish()
}

/** A file that is read bit by bit, so that others have their turn in between. */
export interface LogCsvReading {
  readonly rows: number
  /** Reads lines up to the n-th. */
  readonly readThrough: (n: number) => void
  readonly finish: () => LogFile
}

export function beginLogCsv(kind: LogKind, text: string, context: LogFileContext): LogCsvReading {
  const file = readCsv(text)
  if (!file.ok) return refused(0, file.bad)
  const columns = COLUMNS[kind]
  const lacking = columns.needed.find((names) => !names.some((name) => file.headings.includes(name)))
  if (lacking) {
    const reason = `the first line names no such column: add one called ${lacking.join(' or ')}`
    return refused(file.rows.length, { line: 1, field: lacking[0] ?? '', reason })
  }
  const known = [...columns.needed.flat(), ...columns.others, 'id', 'logged_by']
  const isKnown = (heading: string) => known.includes(heading) || heading.endsWith('_title')
  const bad: BadRow[] = []
  const parts: ReadRow[] = []
  return {
    rows: file.rows.length,
    readThrough: (n) => {
      for (const row of file.rows.slice(parts.length, n))
        parts.push({ row, part: attempt(() => READ[kind](row, context), row.line, bad) })
    },
    finish: () => ({
      rows: file.rows.length,
      found: kind === 'nozzleCheck' ? joinChecks(parts, bad) : eachOnce(parts, bad),
      bad: bad.sort((a, b) => a.line - b.line),
      ignored: file.headings.filter((h) => !isKnown(h)),
    }),
  }
}

function refused(rows: number, bad: BadRow): LogCsvReading {
  return { rows, readThrough: () => undefined, finish: () => ({ rows, found: [], bad: [bad], ignored: [] }) }
}

const COLUMNS: Readonly<
  Record<LogKind, { readonly needed: readonly (readonly string[])[]; readonly others: readonly string[] }>
> = {
  nozzleCheck: {
    needed: [['checked_at', 'checked_at_utc'], ['machine'], ['missing_nozzles']],
    others: ['channel_group', 'reason', 'note'],
  },
  care: {
    needed: [['done_at', 'done_at_utc'], ['machine']],
    others: ['care', 'channel_groups', 'helped_said', 'helped', 'note'],
  },
  note: { needed: [['noted_at', 'noted_at_utc'], ['text']], others: ['about', 'subject'] },
  headChange: { needed: [['changed_at', 'changed_at_utc'], ['machine'], ['head']], others: ['note'] },
}

const READ: Readonly<Record<LogKind, (row: CsvRow, context: LogFileContext) => FoundEntry>> = {
  nozzleCheck: (row, context) => {
    const machine = machineOf(row, context)
    const missingNozzles = countOf(row, 'missing_nozzles')
    const group = row.cell('channel_group')
    if (group === '' && missingNozzles > 0)
      throw new RowError('channel_group', 'is empty, and nozzles are missing: say of which channel group')
    const missing =
      group === '' ? [] : [{ channelGroupId: groupOf(machine, group, 'channel_group'), missingNozzles }]
    const checkedMs = timeOf(row, 'checked_at', context)
    const reason = oneOf(row, 'reason', CHECK_REASONS, 'suspicion')
    return found(row, {
      kind: 'nozzleCheck',
      checkId: NO_ID,
      machineId: machine.id,
      checkedMs,
      reason,
      missing,
      ...noteOf(row),
    })
  },
  care: (row, context) => {
    const machine = machineOf(row, context)
    const names = row
      .cell('channel_groups')
      .split(LIST_SEPARATOR)
      .map((n) => n.trim())
      .filter((n) => n !== '')
    const channelGroupIds = names.map((name) => groupOf(machine, name, 'channel_groups'))
    const doneMs = timeOf(row, 'done_at', context)
    const care = oneOf(row, 'care', LOGGED_CARES, 'cleaned')
    const helpedSaid =
      row.cell('helped_said') === '' ? null : oneOf(row, 'helped_said', ['yes', 'no'] as const, 'yes')
    return found(row, {
      kind: 'care',
      careId: NO_ID,
      machineId: machine.id,
      care,
      channelGroupIds,
      doneMs,
      helpedSaid,
      ...noteOf(row),
    })
  },
  note: (row, context) => {
    const text = bounded(row, 'text', 2000)
    if (text === '') throw new RowError('text', 'is empty: write the note, or take the line out')
    const atMs = timeOf(row, 'noted_at', context)
    return found(row, {
      kind: 'note',
      noteId: NO_ID,
      subject: subjectOf(row, context),
      text,
      atMs,
      void: false,
    })
  },
  headChange: (row, context) => {
    const machine = machineOf(row, context)
    const head = named(machine.heads, row.cell('head'))
    if (!head)
      throw new RowError(
        'head',
        `${machine.title} has no head ${shown(row.cell('head'))}: name one of ${listed(machine.heads)}`,
      )
    const changedMs = timeOf(row, 'changed_at', context)
    return found(row, {
      kind: 'headChange',
      changeId: NO_ID,
      machineId: machine.id,
      headId: head.id,
      changedMs,
      ...noteOf(row),
    })
  },
}

/** Why a line cannot be taken. */
class RowError extends Error {
  override readonly name = 'RowError'
  readonly code = 'ROW_REFUSED'
  readonly field: string
  constructor(field: string, reason: string) {
    super(reason)
    this.field = field
  }
}

function attempt<T>(read: () => T, line: number, bad: BadRow[]): T | null {
  try {
    return read()
  } catch (error) {
    if (!(error instanceof RowError)) throw error
    bad.push({ line, field: error.field, reason: error.message })
    return null
  }
}

function found(row: CsvRow, entry: SaidEntry): FoundEntry {
  const id = row.cell('id')
  if (id !== '' && !logIdSchema.safeParse(id).success)
    throw new RowError('id', 'is not one of ours: letters, digits, - and _, at most 64; or leave it empty')
  const parsed = saidEntrySchema.safeParse(entry)
  const [issue] = parsed.error?.issues ?? []
  if (issue) throw new RowError(String(issue.path[0] ?? 'line'), `${issue.message}: mend it`)
  return { lines: [row.line], id: id === '' ? null : id, entry }
}

function machineOf(row: CsvRow, { settings }: LogFileContext) {
  const machine = named(settings.machines, row.cell('machine'))
  if (machine) return machine
  const cure =
    settings.machines.length === 0 ? 'add it under Setup' : `name one of ${listed(settings.machines)}`
  throw new RowError('machine', `there is no machine ${shown(row.cell('machine'))}: ${cure}`)
}

function groupOf(machine: Settings['machines'][number], name: string, field: string): string {
  const groups = groupsOf(machine)
  const group = named(groups, name)
  if (group) return group.id
  throw new RowError(
    field,
    `${machine.title} has no channel group ${shown(name)}: name one of ${listed(groups)}`,
  )
}

function subjectOf(row: CsvRow, { settings }: LogFileContext) {
  const { site, rooms, machines, bottles } = settings
  const kind = oneOf(row, 'about', ['site', 'room', 'machine', 'bottle'] as const, 'site')
  const places: readonly Named[] = { site: [site], room: rooms, machine: machines, bottle: bottles }[kind]
  const name = row.cell('subject')
  const place = kind === 'site' && name === '' ? site : named(places, name)
  if (place) return { kind, id: place.id }
  const cure = places.length === 0 ? 'add it under Setup' : `name one of ${listed(places)}`
  throw new RowError('subject', `there is no ${kind} ${shown(name)}: ${cure}`)
}

interface Named {
  readonly id: string
  readonly title: string
}

/** By id, else by title if only one has it. */
function named<T extends Named>(all: readonly T[], name: string): T | undefined {
  const byId = all.find((one) => one.id === name)
  if (byId) return byId
  const byTitle = all.filter((one) => one.title.toLowerCase() === name.toLowerCase())
  return byTitle.length === 1 ? byTitle[0] : undefined
}

function listed(all: readonly Named[]): string {
  const names = all.slice(0, 8).map(({ id }) => id)
  return all.length > 8 ? `${names.join(', ')} and ${all.length - 8} more` : names.join(', ')
}

/** What a file says is quoted back short. */
function shown(text: string): string {
  return text === '' ? 'of no name' : JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text)
}

function countOf(row: CsvRow, field: string): number {
  const text = row.cell(field)
  if (/^\d{1,6}$/.test(text) && Number(text) <= 100_000) return Number(text)
  throw new RowError(field, `${shown(text)} is no count: write 0 to 100000, without a unit`)
}

function oneOf<T extends string>(row: CsvRow, field: string, words: readonly T[], otherwise: T): T {
  const text = row.cell(field)
  if (text === '') return otherwise
  const word = words.find((w) => w.toLowerCase() === text.toLowerCase().replaceAll(/[\s_-]+/g, ''))
  if (word !== undefined) return word
  throw new RowError(field, `${shown(text)} is not known: write ${words.join(', ')}, or leave it empty`)
}

function noteOf(row: CsvRow): { note: string; void: false } {
  return { note: bounded(row, 'note', 500), void: false }
}

function bounded(row: CsvRow, field: string, most: number): string {
  const text = row.cell(field)
  if (text.length > most) throw new RowError(field, `is longer than ${most} characters: shorten it`)
  if (text.includes('\uFFFD'))
    throw new RowError(
      field,
      'has letters that are no UTF-8: save the file as CSV in UTF-8 and choose it again',
    )
  return text
}

const TIME =
  /^(?<day>\d{4}-\d{2}-\d{2})(?:[T ](?<time>\d{1,2}:\d{2}(?::\d{2}(?:\.\d{1,3})?)?)(?<zone>Z|[+-]\d{2}:\d{2})?)?$/

function timeOf(row: CsvRow, name: string, { settings, nowMs }: LogFileContext): number {
  const inUtc = row.cell(`${name}_utc`)
  const field = inUtc === '' ? name : `${name}_utc`
  const text = row.cell(field)
  const { day, time, zone } = TIME.exec(text)?.groups ?? {}
  const atMs =
    day === undefined ? null : instantOf({ day, time, zone: zone ?? (inUtc === '' ? null : 'Z') }, settings)
  if (atMs === null)
    throw new RowError(field, `${shown(text)} cannot be read as a time: write it as 2026-03-14 07:30`)
  if (atMs > nowMs + ENTRY_AHEAD_MS) throw new RowError(field, `${text} lies in the future: check the date`)
  if (atMs < nowMs - OLDEST_ENTRY_MS)
    throw new RowError(field, `${text} lies more than 10 years back: check the year, or take the line out`)
  return atMs
}

function instantOf(
  { day, time = '12:00', zone }: { day: string; time: string | undefined; zone: string | null },
  { site }: Settings,
): number | null {
  try {
    const clock = Temporal.PlainDateTime.from(`${day}T${time.padStart(5, '0').replace(/^(\d):/, '0$1:')}`)
    if (zone === null) return clock.toZonedDateTime(site.timeZone).epochMilliseconds
    return Temporal.Instant.from(`${clock.toString()}${zone}`).epochMilliseconds
  } catch (error) {
    if (error instanceof RangeError) return null
    throw error
  }
}

type CheckPart = FoundEntry & { readonly entry: Extract<SaidEntry, { kind: 'nozzleCheck' }> }

/** Follows IMPORT-2. A line that cannot be read tells its check by how it is written. */
function joinChecks(parts: readonly ReadRow[], bad: BadRow[]): readonly FoundEntry[] {
  const spoilt = new Set(parts.flatMap(({ row, part }) => (part === null ? [asWritten(row)] : [])))
  const sound = parts.flatMap(({ row, part }) =>
    part?.entry.kind === 'nozzleCheck' ? [{ row, part: { ...part, entry: part.entry } }] : [],
  )
  const spoiltKeys = new Set(
    sound.flatMap(({ row, part }) => (spoilt.has(asWritten(row)) ? [keyOf(part)] : [])),
  )
  const checks = new Map<string, CheckPart[]>()
  for (const { row, part } of sound) {
    const key = keyOf(part)
    if (spoilt.has(asWritten(row)) || spoiltKeys.has(key)) {
      const reason = 'is of a check of which another line cannot be taken: mend that line'
      bad.push({ line: row.line, field: 'line', reason })
    } else checks.set(key, [...(checks.get(key) ?? []), part])
  }
  return [...checks.values()].flatMap((own) => joined(own, bad))
}

function asWritten(row: CsvRow): string {
  const id = row.cell('id')
  return id === '' ? [row.cell('machine'), row.cell('checked_at'), row.cell('checked_at_utc')].join('|') : id
}

function keyOf({ id, entry: { machineId, checkedMs } }: CheckPart): string {
  return id ?? `${machineId}|${checkedMs}`
}

function joined(own: readonly CheckPart[], bad: BadRow[]): readonly FoundEntry[] {
  const [first, ...rest] = own
  if (!first) return []
  const { entry } = first
  const refused = refusalOf(first, rest)
  if (refused) {
    bad.push(refused)
    const reason = `is of a check of which line ${refused.line} cannot be taken: mend that line`
    const others = own.flatMap((p) => p.lines).filter((line) => line !== refused.line)
    bad.push(...others.map((line) => ({ line, field: 'line', reason })))
    return []
  }
  const missing = own.flatMap((p) => p.entry.missing).filter((m) => m.missingNozzles > 0)
  const note = own.map((p) => p.entry.note).find((n) => n !== '') ?? ''
  return [{ lines: own.flatMap((p) => p.lines), id: first.id, entry: { ...entry, missing, note } }]
}

/** What of one check cannot be, and on which line that shows. */
function refusalOf(first: CheckPart, rest: readonly CheckPart[]): BadRow | null {
  const said = [first, ...rest].flatMap((p) =>
    p.entry.missing.map((m) => [m.channelGroupId, p.lines[0] ?? 0] as const),
  )
  const twice = said.find(([id], at) => said.findIndex(([other]) => other === id) !== at)
  if (twice)
    return {
      line: twice[1],
      field: 'channel_group',
      reason: `${twice[0]} stands twice in this check: keep one line`,
    }
  const differs = (field: string, of: (p: CheckPart) => unknown) => {
    const other = rest.find((p) => of(p) !== of(first))
    const reason = `is not that of line ${first.lines[0] ?? 0}, which is of the same check: make them one`
    return other ? { line: other.lines[0] ?? 0, field, reason } : null
  }
  return (
    differs('reason', (p) => p.entry.reason) ??
    differs('machine', (p) => p.entry.machineId) ??
    differs('checked_at', (p) => p.entry.checkedMs)
  )
}

/** Entries that take one line each: the same id again is refused. */
function eachOnce(parts: readonly ReadRow[], bad: BadRow[]): readonly FoundEntry[] {
  const seen = new Map<string, number>()
  return parts.flatMap(({ row: { line }, part }) => {
    const before = part?.id != null ? seen.get(part.id) : undefined
    if (part?.id != null) seen.set(part.id, before ?? line)
    if (!part) return []
    if (before === undefined) return [part]
    bad.push({
      line,
      field: 'id',
      reason: `${part.id ?? ''} stands on line ${before} already: keep one of them`,
    })
    return []
  })
}
