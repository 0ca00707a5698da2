import { CHECK_REASONS } from '../core/model/act.ts'
import {
  logIdSchema,
  LOGGED_CARES,
  saidEntrySchema,
  type LogKind,
  type SaidEntry,
} from '../core/model/log-entry.ts'
import type { CsvRow } from './csv-reading.ts'
import {
  bounded,
  countOf,
  groupOf,
  listed,
  machineOf,
  named,
  noteOf,
  oneOf,
  RowError,
  shown,
  subjectOf,
  type LogFileContext,
} from './log-csv-cells.ts'
import { timeOf } from './log-csv-time.ts'
import { LIST_SEPARATOR } from './log-csv.ts'

/** An entry as a file says it. */
export interface FoundEntry {
  /** The lines it stands on. */
  readonly lines: readonly number[]
  /** The id that the file gives, or null: then it is known by what it is about. */
  readonly id: string | null
  readonly entry: SaidEntry
}

/** Stands for an id until the entry has one. */
const NO_ID = 'none'

/** Which columns a file of a kind has: of each of `needed` one. */
export const LOG_COLUMNS: Readonly<
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

/** What one line says. @throws {RowError} where it cannot be taken */
export const READ_LOG_ROW: Readonly<Record<LogKind, (row: CsvRow, context: LogFileContext) => FoundEntry>> = {
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

function found(row: CsvRow, entry: SaidEntry): FoundEntry {
  const id = row.cell('id')
  if (id !== '' && !logIdSchema.safeParse(id).success)
    throw new RowError('id', 'is not one of ours: letters, digits, - and _, at most 64; or leave it empty')
  const parsed = saidEntrySchema.safeParse(entry)
  const [issue] = parsed.error?.issues ?? []
  if (issue) throw new RowError(String(issue.path[0] ?? 'line'), `${issue.message}: mend it`)
  return { lines: [row.line], id: id === '' ? null : id, entry }
}
