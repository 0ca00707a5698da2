import type { NightlyFacts } from '../forecast/with-night.ts'
import type { Alarm } from '../model/alarm.ts'
import type { ClosingState } from '../model/closing.ts'
import type { Episode } from '../model/episode.ts'
import type { OpeningCalendar } from '../model/opening-hours.ts'
import type { Settings } from '../model/settings.ts'
import type { QuietView } from '../model/views.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import type { AirFacts } from '../track/room.ts'
import type { Known } from './board.ts'

/** All that the closing list is judged by: what the kernel knows, and nothing beside. */
export interface ClosingMaterial {
  readonly nowMs: number
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly closing: ClosingState
  readonly machines: ReadonlyMap<string, Known<NightlyFacts>>
  readonly bottles: ReadonlyMap<string, Known<BottleFacts>>
  readonly rooms: ReadonlyMap<string, Known<AirFacts>>
  /** Open episodes, each with the alarm it belongs to. */
  readonly episodes: readonly { readonly episode: Episode; readonly alarm: Alarm | null }[]
  readonly quiets: readonly QuietView[]
}
