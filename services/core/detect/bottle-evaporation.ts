import { learnedOf } from '../model/learned.ts'
import type { SubjectContext } from '../track/tracker.ts'

/** Open waste evaporates. Until it is learned, this much in a day raises nothing. Starting value. */
const UNLEARNED_G_PER_DAY = 5

/** What evaporates from the bottle in a day, in g, as learned. */
export function evaporationGPerDay({ learned, subject }: SubjectContext): number {
  return learnedOf(learned, 'fillProfile', subject.id)?.evaporationGPerDay ?? UNLEARNED_G_PER_DAY
}
