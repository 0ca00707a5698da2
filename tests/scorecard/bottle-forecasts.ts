import type { Incident } from '../../sensors/simulator/incident.ts'
import type { ShopNow } from '../../sensors/simulator/shop-now.ts'
import { bottleAhead } from '../../services/core/forecast/bottle-ahead.ts'
import { learnedOf } from '../../services/core/model/learned.ts'
import { subjectKey } from '../../services/core/model/subject.ts'
import type { BottleFacts } from '../../services/core/track/bottle-facts.ts'
import type { ShopStory } from './live-shop.ts'
import type { WatchedKernel } from './watched-kernel.ts'

const HOUR = 3_600_000
const LEAD = 48 * HOUR
/**
 * Bottles are emptied before they are full, so the forecast is asked, by the very function that tells when a bottle is
 * full, when it reaches this.
 */
const LEVEL_PCT = 75
const MADE_EVERY = HOUR
const KEPT = (LEAD + 2 * HOUR) / MADE_EVERY
/** What nobody can foresee: what is done to the bottle, and what keeps its machines from working for long. */
const OF_THE_BOTTLE: readonly Incident['kind'][] = [
  'lineBlocked',
  'leak',
  'lump',
  'bottleLevel',
  'bottleEmptied',
  'bottleReplaced',
]
const OF_ITS_MACHINES: readonly Incident['kind'][] = [
  'cleaningOff',
  'errorStop',
  'idle',
  'headLeftOff',
  'powerCut',
  'mainsFailure',
]
const LONG = 4 * HOUR

/** What was said 48 h before a bottle reached the level, held against when it did. */
export interface FillForecast {
  readonly bottleId: string
  readonly reachedMs: number
  /** Forecast less truth. */
  readonly errorMs: number | null
  /** Was the truth within the interval from 10 to 90 %? */
  readonly covered: boolean
  /** Something happened in between that nobody could foresee. */
  readonly surprised: boolean
  readonly weeks: number
}

interface Made {
  readonly madeMs: number
  readonly weeks: number
  readonly earliestMs: number | null
  readonly likelyMs: number | null
  readonly latestMs: number | null
}

/** Asks for each bottle every hour when it will reach the level, and compares once it has. */
export function watchForecasts({ plan, incidents, scoredMs }: ShopStory, kernel: WatchedKernel) {
  const bottles = plan.bottles.map((b) => ({
    id: b.id,
    made: [] as Made[],
    below: false,
    handledMs: -Infinity,
  }))
  const scored: FillForecast[] = []

  const forecast = (id: string, atMs: number): Made | null => {
    const key = subjectKey({ kind: 'bottle', id })
    const state = kernel.state()
    const facts = state.subjects.get(key)?.facts as BottleFacts | undefined
    const bottle = state.settings.bottles.find((b) => b.id === id)
    const profile = learnedOf(state.learned, 'fillProfile', id)
    if (!facts || facts.massKg === null || !bottle || !profile) return null
    const { weekly } = state.settings.hours
    const { calendar } = state.plan
    const ahead = bottleAhead({
      atMs,
      bottle,
      massKg: facts.massKg,
      limitPct: LEVEL_PCT,
      profile,
      calendar,
      weekly,
      horizonMs: 7 * 24 * HOUR,
    })
    return ahead.basis === 'weeks' ? { madeMs: atMs, weeks: ahead.weeks, ...ahead.reaches } : null
  }
  const surprisedIn = (id: string, fromMs: number, toMs: number): boolean => {
    const machines = plan.machines.filter((m) => m.bottleId === id).map((m) => m.id)
    const own = [id, plan.settings.site.id, ...machines]
    return incidents.some(
      (i) =>
        own.includes(i.subjectId) &&
        i.fromMs < toMs &&
        i.toMs > fromMs &&
        (OF_THE_BOTTLE.includes(i.kind) || (OF_ITS_MACHINES.includes(i.kind) && i.toMs - i.fromMs > LONG)),
    )
  }

  return {
    look: ({ atMs, bottles: now }: ShopNow): void => {
      if (atMs < scoredMs) return
      for (const bottle of bottles) {
        const truly = now.get(bottle.id)
        if (!truly) continue
        if (truly.lifted) bottle.handledMs = atMs
        const below = truly.fillPct < LEVEL_PCT
        if (!below && bottle.below && atMs - bottle.handledMs > LEAD) {
          const made = bottle.made.find((m) => Math.abs(m.madeMs - (atMs - LEAD)) <= MADE_EVERY / 2)
          if (made) scored.push(score(bottle.id, made, atMs, surprisedIn(bottle.id, made.madeMs, atMs)))
        }
        bottle.below = below
        // Only near the level: a forecast is dear, and farther off none would be looked at.
        if (atMs % MADE_EVERY !== 0 || !below || truly.fillPct < LEVEL_PCT / 3) continue
        const made = forecast(bottle.id, atMs)
        if (made) bottle.made.push(made)
        if (bottle.made.length > KEPT) bottle.made.shift()
      }
    },
    scored: (): readonly FillForecast[] => scored,
  }
}

function score(
  bottleId: string,
  { weeks, earliestMs, likelyMs, latestMs }: Made,
  reachedMs: number,
  surprised: boolean,
): FillForecast {
  return {
    bottleId,
    reachedMs,
    errorMs: likelyMs === null ? null : likelyMs - reachedMs,
    covered: (earliestMs ?? Infinity) <= reachedMs && reachedMs <= (latestMs ?? Infinity),
    surprised,
    weeks,
  }
}

/** The lead that all of them have. */
export const FORECAST_LEAD_MS = LEAD
