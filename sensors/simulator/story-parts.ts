import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import type { Draw } from './draw.ts'
import type { ShopPlan } from './plan-kinds.ts'

/** What a story is told of, and with what. */
export interface StoryParts {
  readonly plan: ShopPlan
  readonly calendar: OpeningCalendar
  readonly draw: Draw
}
