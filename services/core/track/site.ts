import { keepBound, noteLatest, type Latest } from './latest.ts'
import type { TrackedFacts, Tracker } from './tracker.ts'

/** The mains of the shop, as a detector at the monitor tells them. */
export interface SiteFacts extends TrackedFacts {
  powered: Latest
}

export const siteTracker: Tracker<SiteFacts> = {
  initial: () => ({ atMs: null, powered: [] }),
  onReading: (facts, reading) => {
    if (reading.quantity === 'powered') noteLatest(facts.powered, reading)
  },
  onOrder: (facts, _order, context) => keepBound(facts.powered, context),
  deadlineMs: () => Infinity,
  onDeadline: () => undefined,
}
