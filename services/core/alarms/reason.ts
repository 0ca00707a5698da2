import type { Alarm } from '../model/alarm.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'

/** What makes an episode an alarm (ISA-18.2): a cause, a consequence, an action and a time to act. */
export type AlarmReason = Pick<
  Alarm,
  'urgency' | 'priority' | 'title' | 'cause' | 'consequence' | 'action' | 'timeToAct'
>

export interface ReasonContext {
  readonly settings: Settings
  readonly nowMs: number
}

/** What the words of a reason are made of. */
export interface ReasonMaterial {
  readonly episode: Episode
  readonly value: number | null
  readonly settings: Settings
  readonly nowMs: number
  /** The subject as a person calls it. */
  readonly title: string
  /** Since when, in the shop's zone. */
  readonly since: string
  /** Was the shop closed when it opened? */
  readonly night: boolean
  /** Is it told at once, whatever the hour? */
  readonly now: boolean
}

export type ReasonWords = Omit<AlarmReason, 'urgency' | 'priority'>
export type ReasonsOf<C extends Condition> = Record<C, (material: ReasonMaterial) => ReasonWords>
