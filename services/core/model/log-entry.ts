import { z } from 'zod'
import { actSchema, CHECK_REASONS, type Care } from './act.ts'
import { nameSchema } from './name.ts'

/** What people write down of a machine, in one log. Disposals have a log of their own: laws ask for it. */
export const LOG_KINDS = ['nozzleCheck', 'care', 'note', 'headChange'] as const
export type LogKind = (typeof LOG_KINDS)[number]

/** What is in the logbook of cares. That it printed is no entry: a program says it with every job. */
export const LOGGED_CARES = ['cleaned', 'partlyCleaned', 'whiteStirred'] as const satisfies readonly Care[]
export type LoggedCare = (typeof LOGGED_CARES)[number]

/** Can be written down of the past, at most this long ago: an older paper book is rather kept on paper. Starting value. */
export const OLDEST_ENTRY_MS = 3653 * 86_400_000
/** A clock of the one who writes may stand a little ahead of the monitor's. */
export const ENTRY_AHEAD_MS = 5 * 60_000
/** Entries of one input, so that none holds the others up. */
export const MOST_ENTRIES = 500
/** Our drawing of a nozzle check has so many short lines for each channel group, counted from the top left. */
export const PATTERN_LINES = 60

export const logIdSchema = z
  .string()
  .min(1)
  .max(64)
  .regex(/^[\w-]+$/, { error: 'an id has letters, digits, - and _ only' })

export const missingSchema = z.strictObject({
  channelGroupId: nameSchema,
  missingNozzles: z.int().nonnegative().max(100_000),
  /** Where about on the drawing, when somebody marked it: numbers of its short lines. */
  places: z
    .array(
      z
        .int()
        .nonnegative()
        .max(PATTERN_LINES - 1),
    )
    .max(PATTERN_LINES)
    .optional(),
})
export type Missing = z.infer<typeof missingSchema>

const note = z.string().max(500, { error: 'keep the note under 500 characters' })

/** What is said of a nozzle check. A channel group of the machine that is not in `missing` was clear. */
export const nozzleCheckFields = {
  machineId: nameSchema,
  /** When it was made. */
  checkedMs: z.int().nonnegative(),
  reason: z.enum(CHECK_REASONS),
  missing: z.array(missingSchema).max(256),
  note: note.default(''),
}
/** What is said of a cleaning, or of white that was stirred. No channel groups named: all of the machine. */
export const careFields = {
  machineId: nameSchema,
  care: z.enum(LOGGED_CARES),
  channelGroupIds: z.array(nameSchema).max(200).default([]),
  doneMs: z.int().nonnegative(),
  /** Whether it helped, as far as a person says so; null leaves it to the checks around it. */
  helpedSaid: z.enum(['yes', 'no']).nullable().default(null),
  note: note.default(''),
}
/** A note on the shop, a room, a machine or a bottle. */
export const noteFields = {
  subject: z.strictObject({ kind: z.enum(['site', 'room', 'machine', 'bottle']), id: nameSchema }),
  text: z
    .string()
    .trim()
    .min(1, { error: 'write the note first' })
    .max(2000, { error: 'keep the note under 2000 characters' }),
  /** What it is about happened then. */
  atMs: z.int().nonnegative(),
}
/** A head was changed for another: whatever its nozzles did before is the past of the old one. */
export const headChangeFields = {
  machineId: nameSchema,
  headId: nameSchema,
  changedMs: z.int().nonnegative(),
  note: note.default(''),
}

/** The same id of a kind again is a correction: the newest counts, the older ones stay as its history. */
const kept = { void: z.boolean().default(false) }
const kinds = {
  nozzleCheck: { kind: z.literal('nozzleCheck'), checkId: logIdSchema, ...nozzleCheckFields, ...kept },
  care: { kind: z.literal('care'), careId: logIdSchema, ...careFields, ...kept },
  note: { kind: z.literal('note'), noteId: logIdSchema, ...noteFields, ...kept },
  headChange: { kind: z.literal('headChange'), changeId: logIdSchema, ...headChangeFields, ...kept },
}

/** An entry as it is said: who says it, and when, stands beside it. */
export const saidEntrySchema = z.discriminatedUnion('kind', [
  z.strictObject(kinds.nozzleCheck),
  z.strictObject(kinds.care),
  z.strictObject(kinds.note),
  z.strictObject(kinds.headChange),
])
export type SaidEntry = z.infer<typeof saidEntrySchema>

const act = { act: actSchema }
export const nozzleCheckSchema = z.strictObject({ ...kinds.nozzleCheck, ...act })
export const careEntrySchema = z.strictObject({ ...kinds.care, ...act })
export const logNoteSchema = z.strictObject({ ...kinds.note, ...act })
export const headChangeSchema = z.strictObject({ ...kinds.headChange, ...act })
export const logEntrySchema = z.discriminatedUnion('kind', [
  nozzleCheckSchema,
  careEntrySchema,
  logNoteSchema,
  headChangeSchema,
])
export type NozzleCheck = z.infer<typeof nozzleCheckSchema>
export type CareEntry = z.infer<typeof careEntrySchema>
export type LogNote = z.infer<typeof logNoteSchema>
export type HeadChange = z.infer<typeof headChangeSchema>
export type LogEntry = z.infer<typeof logEntrySchema>
export type LogEntryOf<K extends LogKind> = Extract<LogEntry, { kind: K }>

/** Did a cleaning help? `unknown` where neither checks nor a person tell. */
export const HELPED = ['yes', 'no', 'unknown'] as const
export type Helped = (typeof HELPED)[number]
export interface JudgedCare extends CareEntry {
  readonly helped: Helped
}

/** The id of an entry, whatever its kind. */
export function logIdOf(entry: SaidEntry): string {
  switch (entry.kind) {
    case 'nozzleCheck':
      return entry.checkId
    case 'care':
      return entry.careId
    case 'note':
      return entry.noteId
    case 'headChange':
      return entry.changeId
  }
}

/** When what an entry is about happened, in UTC ms. */
export function logTimeOf(entry: SaidEntry): number {
  switch (entry.kind) {
    case 'nozzleCheck':
      return entry.checkedMs
    case 'care':
      return entry.doneMs
    case 'note':
      return entry.atMs
    case 'headChange':
      return entry.changedMs
  }
}

/** The machine that an entry is about, or null: a note on a room, a bottle or the shop. */
export function logMachineOf(entry: SaidEntry): string | null {
  if (entry.kind !== 'note') return entry.machineId
  return entry.subject.kind === 'machine' ? entry.subject.id : null
}
