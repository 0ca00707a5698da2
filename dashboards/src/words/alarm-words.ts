import type { Alarm, AlarmState, Priority } from '../../../services/core/model/alarm.ts'
import type { AlarmView } from '../api/shop-api.ts'
import { countText } from './quantity-text.ts'
import { dayClock, nearTime, type ShopNow } from './shop-time.ts'

/** Where an alarm stands on the page: before people, over and not yet seen, or set aside. */
export type AlarmGroup = 'asking' | 'over' | 'setAside'

const GROUPS: Readonly<Record<AlarmState, AlarmGroup>> = {
  unacknowledged: 'asking',
  acknowledged: 'asking',
  returnedUnacknowledged: 'over',
  normal: 'over',
  shelved: 'setAside',
  suppressedByDesign: 'setAside',
  outOfService: 'setAside',
}

export function groupOf({ state }: Pick<Alarm, 'state'>): AlarmGroup {
  return GROUPS[state]
}

/** The states in plain words; the terms of the standard stand in the API. */
export const STATE_WORDS: Readonly<Record<AlarmState, string>> = {
  unacknowledged: 'Nobody is on it yet',
  acknowledged: 'Somebody is on it',
  returnedUnacknowledged: 'Over, not yet seen',
  shelved: 'Shelved',
  suppressedByDesign: 'Expected: planned work on the power',
  outOfService: 'Expected: out of service',
  normal: 'Over',
}

export const PRIORITY_WORDS: Readonly<Record<Priority, string>> = {
  high: 'High priority',
  medium: 'Medium priority',
  low: 'Low priority',
}

/** "Nobody is on it yet. High priority. Since 22:10, for the third time." */
export function standingLine(alarm: AlarmView, now: ShopNow): string {
  return `${whoLine(alarm, now)} ${PRIORITY_WORDS[alarm.priority]}. ${sinceLine(alarm, now)}`
}

function whoLine({ state, acknowledged, acknowledgedBy }: AlarmView, now: ShopNow): string {
  if (state !== 'acknowledged' || !acknowledged) return `${STATE_WORDS[state]}.`
  return `${acknowledgedBy ?? 'Somebody'} is on it since ${nearTime(acknowledged.atMs, now)}.`
}

function sinceLine({ openedMs, returnedMs, activations }: Alarm, now: ShopNow): string {
  const times = activations === 1 ? '' : `, ${countText(activations, 'time', 'times')} in all`
  const since = nearTime(openedMs, now)
  return returnedMs === null
    ? `Since ${since}${times}.`
    : `From ${since} to ${nearTime(returnedMs, now)}${times}.`
}

/** Why an alarm is set aside, and until when. */
export function setAsideLine(alarm: AlarmView, now: ShopNow): string {
  const { shelved, quiet, returnedMs, shelvedBy, state } = alarm
  const holds = returnedMs === null ? 'It still holds.' : 'It is over for now.'
  if (shelved) {
    const who = shelvedBy === null ? '' : ` by ${shelvedBy}`
    return `Shelved${who} until ${dayClock(shelved.untilMs, now)}: ${shelved.reason}. ${holds}`
  }
  const untilMs = quiet?.untilMs ?? null
  const until = untilMs === null ? 'until somebody says it is back' : `until ${dayClock(untilMs, now)}`
  const note = quiet?.note ? `: ${quiet.note}` : ''
  return `${STATE_WORDS[state]}, ${until}${note}. ${holds}`
}

/** For how long a person may shelve, in minutes, with the words for it. */
export const SHELF_TIMES = [
  { minutes: 60, label: '1 hour' },
  { minutes: 4 * 60, label: '4 hours' },
  { minutes: 12 * 60, label: '12 hours' },
  { minutes: 24 * 60, label: '1 day' },
  { minutes: 3 * 24 * 60, label: '3 days' },
  { minutes: 7 * 24 * 60, label: '7 days' },
] as const

/** Kept, not kept, or not judged: told by shape and word. */
export function keptWords(kept: boolean | null): { readonly mark: string; readonly word: string } {
  if (kept === null) return { mark: '–', word: 'not judged' }
  return kept ? { mark: '●', word: 'kept' } : { mark: '▲', word: 'not kept' }
}
