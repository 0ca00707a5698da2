import type { CHECK_REASONS } from '../../../services/core/model/act.ts'
import type { Helped, LogEntry, LoggedCare, LogKind } from '../../../services/core/model/log-entry.ts'
import type { FeedRow, LogPlaces } from '../api/log-api.ts'
import { dateOf, fromMl, offsetMs } from './disposal-words.ts'
import { clockTime } from './shop-time.ts'

export type CheckReason = (typeof CHECK_REASONS)[number]
export const REASON_WORDS: Readonly<Record<CheckReason, string>> = {
  routine: 'As every day',
  suspicion: 'Something looked wrong',
  afterCleaning: 'After a cleaning',
  baseline: 'To know how it is now',
}
export const REASONS = Object.keys(REASON_WORDS) as CheckReason[]

export const CARE_WORDS: Readonly<Record<LoggedCare, string>> = {
  cleaned: 'Cleaned',
  partlyCleaned: 'Short cleaning',
  whiteStirred: 'White stirred',
}
export const HELPED_WORDS: Readonly<Record<Helped, string>> = {
  yes: 'It helped',
  no: 'It did not help',
  unknown: '',
}
export const KIND_WORDS: Readonly<Record<LogKind | 'disposal', string>> = {
  nozzleCheck: 'Nozzle checks',
  care: 'Cleanings',
  note: 'Notes',
  headChange: 'New heads',
  disposal: 'Waste',
}

/** The id of an entry, whatever its kind. */
export function logIdOf(entry: LogEntry): string {
  if (entry.kind === 'nozzleCheck') return entry.checkId
  if (entry.kind === 'care') return entry.careId
  return entry.kind === 'note' ? entry.noteId : entry.changeId
}

/** When what an entry is about happened, in ms. */
export function logTimeOf(entry: FeedRow | LogEntry): number {
  switch (entry.kind) {
    case 'nozzleCheck':
      return entry.checkedMs
    case 'care':
      return entry.doneMs
    case 'note':
      return entry.atMs
    case 'headChange':
      return entry.changedMs
    case 'disposal':
      return entry.disposedMs
  }
}

/** `Nozzle check of Roll 60: 3 missing in Colour`: what an entry says, in a line. */
export function entryTitle(
  entry: FeedRow | LogEntry,
  { places, unit }: { places: LogPlaces; unit: string },
): string {
  switch (entry.kind) {
    case 'nozzleCheck':
      return `Nozzle check of ${machineTitle(places, entry.machineId)}: ${missingWords(entry.missing, places)}`
    case 'care':
      return `${CARE_WORDS[entry.care]}: ${machineTitle(places, entry.machineId)}${groupWords(entry.channelGroupIds, places)}`
    case 'note':
      return `Note on ${subjectTitle(places, entry.subject)}`
    case 'headChange':
      return `New head in ${machineTitle(places, entry.machineId)}: ${headTitle(places, entry.headId)}`
    case 'disposal':
      return `${fromMl(entry.volumeMl, unit)} ${unit} of waste to ${entry.toWhom}`
  }
}

export function missingWords(
  missing: readonly { readonly channelGroupId: string; readonly missingNozzles: number }[],
  places: LogPlaces,
): string {
  const some = missing.filter((m) => m.missingNozzles > 0)
  if (some.length === 0) return 'all nozzles there'
  return some.map((m) => `${m.missingNozzles} missing in ${groupTitle(places, m.channelGroupId)}`).join(', ')
}

/** What an earlier version of an entry said, with its day and time. */
export function versionWords(
  entry: LogEntry,
  { places, unit, timeZone }: { places: LogPlaces; unit: string; timeZone: string },
): string {
  if (entry.void) return 'taken out'
  const atMs = logTimeOf(entry)
  const when = `${dateOf(atMs, timeZone)} ${clockTime(atMs, timeZone)}`
  const text = entry.kind === 'note' ? entry.text : entry.note
  const why = entry.kind === 'nozzleCheck' ? `, ${REASON_WORDS[entry.reason].toLowerCase()}` : ''
  const said = `${entryTitle(entry, { places, unit })}${why}, ${when}`
  return text === '' ? said : `${said}, "${text}"`
}

export function machineTitle({ machines }: LogPlaces, id: string): string {
  return machines.find((m) => m.id === id)?.title ?? id
}

export function groupTitle({ machines }: LogPlaces, id: string): string {
  const groups = machines.flatMap((m) => m.heads.flatMap((h) => h.channelGroups))
  return groups.find((g) => g.id === id)?.title ?? id
}

function headTitle({ machines }: LogPlaces, id: string): string {
  return machines.flatMap((m) => m.heads).find((h) => h.id === id)?.title ?? id
}

export function subjectTitle(
  { site, rooms, machines, bottles }: LogPlaces,
  { kind, id }: { readonly kind: 'site' | 'room' | 'machine' | 'bottle'; readonly id: string },
): string {
  const all = { site: [site], room: rooms, machine: machines, bottle: bottles }[kind]
  return all.find((one) => one.id === id)?.title ?? id
}

function groupWords(ids: readonly string[], places: LogPlaces): string {
  return ids.length === 0 ? '' : `, ${ids.map((id) => groupTitle(places, id)).join(', ')}`
}

/** `2026-11-28T22:10` on the shop's clock, as a field for date and time takes it. */
export function clockField(atMs: number, timeZone: string): string {
  return `${dateOf(atMs, timeZone)}T${clockTime(atMs, timeZone)}`
}

/** The instant of such a text; of an hour that a clock change skips, the one after it. */
export function instantOf(text: string, timeZone: string): number {
  const utcMs = Date.parse(`${text}:00Z`)
  const guessMs = utcMs - offsetMs(utcMs, timeZone)
  const atMs = utcMs - offsetMs(guessMs, timeZone)
  return clockField(atMs, timeZone) === text ? atMs : Math.max(guessMs, atMs)
}
