import { FORECAST_GRID_MS } from '../model/learned/room-nights.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext, Tracker } from '../track/tracker.ts'
import { machineNight } from './machine-night.ts'

/** What the last forecast said, as far as conditions rest on it. */
export interface NightFacts {
  madeMs: number
  basis: 'paths' | 'persistence'
  /**
   * Of each ink whose dose is certain and that has not passed its limit yet: the probability that it does before the
   * next opening.
   */
  probabilities: Record<string, number>
}

export interface NightlyFacts extends MachineFacts {
  night: NightFacts | null
  /** When the next forecast is made. */
  nextForecastMs: number | null
  /** Since when the machine is off, for the forecast that decides whether to tell. */
  tellMs: number | null
}

/**
 * A machine with its forecasts, made on a fixed grid and never per reading.
 *
 * GRID-1 at closing, and every quarter of an hour of the closed hours.
 * GRID-2 when a machine has been off for `powerOff.toldMs` while the shop is closed: that is when it is decided whether
 *        anybody is told.
 * GRID-3 at opening the night is over and its forecast with it.
 */
export function withNight(tracker: Tracker<MachineFacts>): Tracker<NightlyFacts> {
  return {
    initial: () => ({ ...tracker.initial(), night: null, nextForecastMs: null, tellMs: null }),
    onReading: (facts, reading, context) => {
      tracker.onReading(facts, reading, context)
      followPower(facts, context)
      facts.nextForecastMs ??= nextForecastMs(reading.atMs, context)
    },
    onOrder: (facts, order, context) => {
      tracker.onOrder(facts, order, context)
      facts.nextForecastMs = nextForecastMs(order.atMs, context)
    },
    deadlineMs: (facts, context) =>
      Math.min(
        tracker.deadlineMs(facts, context),
        facts.nextForecastMs ?? Infinity,
        facts.tellMs ?? Infinity,
      ),
    onDeadline: (facts, atMs, context) => {
      if (tracker.deadlineMs(facts, context) <= atMs) tracker.onDeadline(facts, atMs, context)
      const due = Math.min(facts.nextForecastMs ?? Infinity, facts.tellMs ?? Infinity) <= atMs
      if (!due) return
      if (facts.tellMs !== null && facts.tellMs <= atMs) facts.tellMs = null
      facts.nextForecastMs = nextForecastMs(atMs, context)
      facts.night = context.calendar.isOpenAt(atMs) ? null : forecast(facts, context, atMs)
    },
  }
}

function followPower(facts: NightlyFacts, { settings }: SubjectContext): void {
  const { state, sinceMs } = facts.power
  if (state !== 'off' || sinceMs === null) {
    facts.tellMs = null
    return
  }
  const tellMs = sinceMs + settings.limits.powerOff.toldMs
  if (facts.atMs === null || tellMs > facts.atMs) facts.tellMs = tellMs
}

function forecast(facts: MachineFacts, context: SubjectContext, atMs: number): NightFacts | null {
  const night = machineNight(facts, context, atMs)
  if (!night) return null
  const probabilities: Record<string, number> = {}
  for (const { groupId, certain, dose } of night.inks) {
    const passed = dose.probability === 1
    if (certain && !passed) probabilities[groupId] = Math.round(dose.probability * 1e4) / 1e4
  }
  return { madeMs: atMs, basis: night.room.basis, probabilities }
}

function nextForecastMs(atMs: number, { calendar }: SubjectContext): number | null {
  const changeMs = calendar.nextChangeAfter(atMs) ?? Infinity
  if (calendar.isOpenAt(atMs)) return Number.isFinite(changeMs) ? changeMs : null
  return Math.min(changeMs, (Math.floor(atMs / FORECAST_GRID_MS) + 1) * FORECAST_GRID_MS)
}
