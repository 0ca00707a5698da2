import type { Alarm, AlarmState, Priority, Urgency } from './alarm.ts'
import type { Condition } from './episode.ts'

/** One line of the record of alarms: what changed about an alarm, and how it stood then. Never rewritten. */
export interface AlarmChange {
  readonly atMs: number
  readonly alarmId: string
  readonly rootKey: string
  readonly condition: Condition
  readonly title: string
  /** null: it was not on record before. */
  readonly from: AlarmState | null
  readonly state: AlarmState
  readonly urgency: Urgency
  readonly priority: Priority
  /** It arose with this change, for the first time or again. */
  readonly arose: boolean
  readonly holds: boolean
  /** When it last arose. */
  readonly sinceMs: number
}

/** What a change of an alarm adds to the record; null when only its words changed. */
export function alarmChangeOf(before: Alarm | null, after: Alarm, atMs: number): AlarmChange | null {
  const change: AlarmChange = {
    atMs,
    alarmId: after.id,
    rootKey: after.rootKey,
    condition: after.condition,
    title: after.title,
    from: before?.state ?? null,
    state: after.state,
    urgency: after.urgency,
    priority: after.priority,
    arose: before?.activations !== after.activations,
    holds: after.returnedMs === null,
    sinceMs: after.openedMs,
  }
  const isSame =
    before !== null &&
    !change.arose &&
    before.state === after.state &&
    before.condition === after.condition &&
    before.urgency === after.urgency &&
    (before.returnedMs === null) === change.holds
  return isSame ? null : change
}
