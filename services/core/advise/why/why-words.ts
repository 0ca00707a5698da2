import type { Condition, Episode } from '../../model/episode.ts'
import type { Limits, Settings } from '../../model/settings.ts'
import type { WhyView } from '../../model/views.ts'

export type WhyNumber = WhyView['numbers'][number]

export interface WhyMaterial {
  readonly episode: Episode
  readonly settings: Settings
  readonly limits: Limits
  /** A time with its weekday, in the shop's zone. */
  readonly at: (atMs: number) => string
}

export interface WhyWords {
  /** The rule in one sentence, with the limits in force. */
  readonly rule: string
  /** The limits that the rule rests on, to tell whether they are still the starting values; or why there are none. */
  readonly limit: ((limits: Limits) => unknown) | string
  /** How the episode's value is called and written; absent where it says nothing. */
  readonly measured?: { readonly label: string; readonly text: (value: number) => string }
  /** What the value is held against. */
  readonly numbers: readonly WhyNumber[]
}

export type WhyOf<C extends Condition> = Record<C, (material: WhyMaterial) => WhyWords>
