import type { HeadChange, JudgedCare, LogNote, NozzleCheck } from '../core/model/log-entry.ts'
import type { Machine, Settings } from '../core/model/settings.ts'
import { csvPieces, type CsvColumn } from './csv.ts'

/** An entry, and who wrote it down, by name. */
export type Written<Entry> = Entry & { readonly by: string | null }
/** Between several channel groups in one cell. */
export const LIST_SEPARATOR = ';'

const utc = (atMs: number): string => new Date(atMs).toISOString()

interface CheckRow {
  readonly check: Written<NozzleCheck>
  readonly channelGroupId: string
  readonly missingNozzles: number
}

/** A line for each channel group of each check, the clear ones too, so that a file says what was looked at. */
export function nozzleChecksCsv(
  checks: readonly Written<NozzleCheck>[],
  settings: Settings,
): Iterable<string> {
  const titles = titlesOf(settings)
  const columns: readonly CsvColumn<CheckRow>[] = [
    { heading: 'id', cell: ({ check }) => check.checkId },
    { heading: 'checked_at_utc', cell: ({ check }) => utc(check.checkedMs) },
    { heading: 'machine', cell: ({ check }) => check.machineId },
    { heading: 'machine_title', cell: ({ check }) => titles.get(check.machineId) ?? null },
    { heading: 'channel_group', cell: (row) => row.channelGroupId },
    { heading: 'channel_group_title', cell: (row) => titles.get(row.channelGroupId) ?? null },
    { heading: 'missing_nozzles', cell: (row) => row.missingNozzles },
    { heading: 'reason', cell: ({ check }) => check.reason },
    { heading: 'note', cell: ({ check }) => check.note },
    { heading: 'logged_by', cell: ({ check }) => check.by },
  ]
  return csvPieces(columns, rowsOfAll(checks, settings))
}

function* rowsOfAll(checks: readonly Written<NozzleCheck>[], settings: Settings): Generator<CheckRow> {
  for (const check of checks) yield* rowsOf(check, settings)
}

function rowsOf(check: Written<NozzleCheck>, settings: Settings): readonly CheckRow[] {
  const found = new Map(check.missing.map((m) => [m.channelGroupId, m.missingNozzles]))
  const machine = settings.machines.find((m) => m.id === check.machineId)
  const ids = new Set([...(machine ? groupsOf(machine).map((g) => g.id) : []), ...found.keys()])
  return (ids.size === 0 ? [''] : [...ids]).map((channelGroupId) => ({
    check,
    channelGroupId,
    missingNozzles: found.get(channelGroupId) ?? 0,
  }))
}

export function cleaningsCsv(cares: readonly Written<JudgedCare>[], settings: Settings): Iterable<string> {
  const titles = titlesOf(settings)
  const columns: readonly CsvColumn<Written<JudgedCare>>[] = [
    { heading: 'id', cell: (c) => c.careId },
    { heading: 'done_at_utc', cell: (c) => utc(c.doneMs) },
    { heading: 'machine', cell: (c) => c.machineId },
    { heading: 'machine_title', cell: (c) => titles.get(c.machineId) ?? null },
    { heading: 'care', cell: (c) => c.care },
    { heading: 'channel_groups', cell: (c) => c.channelGroupIds.join(LIST_SEPARATOR) },
    { heading: 'helped_said', cell: (c) => c.helpedSaid },
    { heading: 'helped', cell: (c) => c.helped },
    { heading: 'note', cell: (c) => c.note },
    { heading: 'logged_by', cell: (c) => c.by },
  ]
  return csvPieces(columns, cares)
}

export function notesCsv(notes: readonly Written<LogNote>[], settings: Settings): Iterable<string> {
  const titles = titlesOf(settings)
  const columns: readonly CsvColumn<Written<LogNote>>[] = [
    { heading: 'id', cell: (n) => n.noteId },
    { heading: 'noted_at_utc', cell: (n) => utc(n.atMs) },
    { heading: 'about', cell: (n) => n.subject.kind },
    { heading: 'subject', cell: (n) => n.subject.id },
    { heading: 'subject_title', cell: (n) => titles.get(n.subject.id) ?? null },
    { heading: 'text', cell: (n) => n.text },
    { heading: 'logged_by', cell: (n) => n.by },
  ]
  return csvPieces(columns, notes)
}

export function headChangesCsv(
  changes: readonly Written<HeadChange>[],
  settings: Settings,
): Iterable<string> {
  const titles = titlesOf(settings)
  const columns: readonly CsvColumn<Written<HeadChange>>[] = [
    { heading: 'id', cell: (h) => h.changeId },
    { heading: 'changed_at_utc', cell: (h) => utc(h.changedMs) },
    { heading: 'machine', cell: (h) => h.machineId },
    { heading: 'machine_title', cell: (h) => titles.get(h.machineId) ?? null },
    { heading: 'head', cell: (h) => h.headId },
    { heading: 'head_title', cell: (h) => titles.get(h.headId) ?? null },
    { heading: 'note', cell: (h) => h.note },
    { heading: 'logged_by', cell: (h) => h.by },
  ]
  return csvPieces(columns, changes)
}

export function groupsOf(machine: Machine): readonly { readonly id: string; readonly title: string }[] {
  return machine.heads.flatMap((h) => h.channelGroups)
}

function titlesOf({ site, rooms, machines, bottles }: Settings): ReadonlyMap<string, string> {
  const named = [
    ...machines.flatMap((m) => [...m.heads.flatMap((h) => [...h.channelGroups, h]), m]),
    ...rooms,
    ...bottles,
    site,
  ]
  return new Map(named.map(({ id, title }) => [id, title]))
}
