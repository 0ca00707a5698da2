import type { Bottle, Settings } from '../model/settings.ts'
import type { TrustLimits } from '../model/trust-limits.ts'
import { heaviestKg, lightestKg } from './bottle-of.ts'
import type { HeardBinding } from './tracker.ts'

/** What one sensor is held to, in the unit of its quantity. null: this quantity is not judged so. */
export interface TrustRule {
  /** A reading stands no longer than this for the time after it. */
  readonly validForMs: number
  readonly still: StillRule | null
  readonly plausible: PlausibleRule | null
  readonly inStep: InStepRule | null
}

export interface StillRule {
  readonly fineStep: number
  readonly fineMs: number
  /** null: a coarse source is never called stuck. */
  readonly coarseMs: number | null
  readonly readings: number
}

export interface PlausibleRule {
  readonly lowest: number
  readonly highest: number
  readonly jump: number
  readonly jumpPerMs: number
  readonly bad: TrustLimits['bad']
  readonly good: TrustLimits['good']
}

export interface InStepRule {
  readonly apart: number
  readonly forMs: number
  readonly backMs: number
  readonly fineStep: number
}

/**
 * What a sensor is held to; null for a quantity that may rightly do anything: a meter at 0 W, a contact and a supply
 * stand still for weeks and jump at a switch.
 */
export function trustRuleOf(
  { quantity, subject, validForMs }: HeardBinding,
  settings: Settings,
): TrustRule | null {
  const limits = settings.limits.trust
  const outdoors = settings.rooms.some((r) => r.outdoors && subject.kind === 'room' && r.id === subject.id)
  if (quantity === 'humidity') return { validForMs, ...humidityRule(limits, outdoors) }
  if (quantity === 'temperature') return { validForMs, ...temperatureRule(limits, outdoors) }
  if (quantity !== 'mass') return null
  const { fineStepKg, stillMs } = limits.mass
  const still = { fineStep: fineStepKg, fineMs: stillMs, coarseMs: null, readings: limits.stillReadings }
  const bottle = settings.bottles.find((b) => b.id === subject.id)
  return { validForMs, still, plausible: bottle ? scaleRule(bottle, limits) : null, inStep: null }
}

/** A bottle is lifted, put back and filled at a stroke, so no step is too wide. */
function scaleRule(bottle: Bottle, { bad, good }: TrustLimits): PlausibleRule {
  return { lowest: lightestKg(bottle), highest: heaviestKg(bottle), jump: Infinity, jumpPerMs: 0, bad, good }
}

function humidityRule(limits: TrustLimits, outdoors: boolean): Omit<TrustRule, 'validForMs'> {
  const { humidity, apart, bad, good } = limits
  const times = outdoors ? apart.outdoorsTimes : 1
  return {
    still: {
      fineStep: humidity.fineStepPct,
      fineMs: outdoors ? humidity.coarseStillMs : humidity.stillMs,
      coarseMs: humidity.coarseStillMs,
      readings: limits.stillReadings,
    },
    plausible: {
      lowest: humidity.lowestPct,
      highest: outdoors ? humidity.outdoorsHighestPct : humidity.highestPct,
      jump: humidity.jumpPct * times,
      jumpPerMs: (humidity.slopePctPerMin * times) / 60_000,
      bad,
      good,
    },
    inStep: {
      apart: humidity.apartPct * times,
      forMs: apart.forMs,
      backMs: apart.backMs,
      fineStep: humidity.fineStepPct,
    },
  }
}

function temperatureRule(limits: TrustLimits, outdoors: boolean): Omit<TrustRule, 'validForMs'> {
  const { temperature, apart, bad, good } = limits
  const times = outdoors ? apart.outdoorsTimes : 1
  return {
    still: {
      fineStep: temperature.fineStepK,
      fineMs: outdoors ? temperature.coarseStillMs : temperature.stillMs,
      coarseMs: temperature.coarseStillMs,
      readings: limits.stillReadings,
    },
    plausible: {
      lowest: temperature.lowestC,
      highest: temperature.highestC,
      jump: temperature.jumpK * times,
      jumpPerMs: (temperature.slopeKPerMin * times) / 60_000,
      bad,
      good,
    },
    inStep: {
      apart: temperature.apartK * times,
      forMs: apart.forMs,
      backMs: apart.backMs,
      fineStep: temperature.fineStepK,
    },
  }
}
