import type { Bottle, SensorBinding, Settings } from '../../../services/core/model/settings.ts'

/** The four weighings in their order. `full` may be left out: then the bottle keeps the volume that is set. */
export const SCALE_STEPS = ['empty', 'weight', 'bottle', 'full'] as const
export type ScaleStep = (typeof SCALE_STEPS)[number]

/** What the scale sends, before any correction, with its time. */
export interface SentWeight {
  readonly atMs: number
  readonly sent: number
}

export interface Taken {
  readonly step: ScaleStep
  readonly sent: number
}

export interface ScaleWalk {
  readonly taken: readonly Taken[]
  /** Steps that were taken back, the last of them first to come again. */
  readonly undone: readonly Taken[]
}

export const BEGIN: ScaleWalk = { taken: [], undone: [] }

/** Starting values, no source: a load cell in a shop flickers by less than this, or than this share of its load. */
const STEADY_WITHIN_KG = 0.005
const STEADY_SHARE = 0.001
const STEADY_READINGS = 3
/** A reading further from what was taken before than so many bands is another load. */
const OTHER_LOAD_BANDS = 4
/** Readings older than this say nothing of what lies on the scale now. */
const RECENT_MS = 60_000

export function stepOf({ taken }: ScaleWalk): ScaleStep | null {
  return SCALE_STEPS[taken.length] ?? null
}

/** SCALE-1 taking a value forgets what was undone; undo and redo give back exactly what was. */
export function take(walk: ScaleWalk, sent: number): ScaleWalk {
  const step = stepOf(walk)
  return step ? { taken: [...walk.taken, { step, sent }], undone: [] } : walk
}

export function undo({ taken, undone }: ScaleWalk): ScaleWalk {
  const last = taken.at(-1)
  return last ? { taken: taken.slice(0, -1), undone: [last, ...undone] } : { taken, undone }
}

export function redo({ taken, undone }: ScaleWalk): ScaleWalk {
  const [next, ...rest] = undone
  return next ? { taken: [...taken, next], undone: rest } : { taken, undone }
}

export type Settling =
  | { readonly kind: 'silent' }
  /** Fewer readings than it takes, so far. */
  | { readonly kind: 'fewReadings'; readonly sent: number; readonly missing: number }
  | { readonly kind: 'moving'; readonly sent: number }
  /** Nothing has changed since the last step, or the scale is empty again. */
  | { readonly kind: 'sameAsBefore'; readonly sent: number }
  | { readonly kind: 'emptyAgain'; readonly sent: number }
  | { readonly kind: 'steady'; readonly sent: number }

/**
 * How the scale stands for the step that is due.
 *
 * SCALE-2 steady is what stayed within a small band for three readings that came after the step began. The band is one of
 *         kilograms, by the factor in force, since each device sends in a unit of its own; where that says a heavy load,
 *         as it does of grams that are taken for kilograms, it is a share of it.
 * SCALE-3 what was taken for the step before is not taken again, nor is an empty scale for a bottle or a weight:
 *         between two loads the scale is empty for a while.
 */
export function settlingOf(
  walk: ScaleWalk,
  readings: readonly SentWeight[],
  { sinceMs, nowMs, binding }: { sinceMs: number; nowMs: number; binding: SensorBinding | undefined },
): Settling {
  const recent = readings.filter(({ atMs }) => atMs > sinceMs && nowMs - atMs <= RECENT_MS)
  const last = recent.at(-1)
  if (!last) return { kind: 'silent' }
  const { sent } = last
  const tail = recent.slice(-STEADY_READINGS)
  if (tail.length < STEADY_READINGS)
    return { kind: 'fewReadings', sent, missing: STEADY_READINGS - tail.length }
  const values = tail.map((r) => r.sent)
  const band = steadyWithin(sent, binding)
  if (Math.max(...values) - Math.min(...values) > band) return { kind: 'moving', sent }
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  const before = walk.taken.at(-1)
  const empty = walk.taken[0]
  const otherLoad = OTHER_LOAD_BANDS * band
  if (before && Math.abs(mean - before.sent) < otherLoad) return { kind: 'sameAsBefore', sent: mean }
  if (before && empty && Math.abs(mean - empty.sent) < otherLoad) return { kind: 'emptyAgain', sent: mean }
  return { kind: 'steady', sent: mean }
}

/** How far readings of one load lie apart at most, in the unit that the device sends. */
function steadyWithin(sent: number, binding: SensorBinding | undefined): number {
  const { scale, offset } = correctionOf(binding)
  return Math.max(STEADY_WITHIN_KG, STEADY_SHARE * Math.abs(sent * scale + offset)) / Math.abs(scale)
}

/** What a node sent, out of what is stored: the correction in force taken off again. */
export function sentOf(stored: number, binding: SensorBinding | undefined): number {
  const { scale, offset } = correctionOf(binding)
  return (stored - offset) / scale
}

export interface Correction {
  readonly scale: number
  readonly offset: number
}

export function correctionOf(binding: SensorBinding | undefined): Correction {
  const found = binding?.foreign ?? binding?.correction
  return found && found.scale !== 0 ? { scale: found.scale, offset: found.offset } : { scale: 1, offset: 0 }
}

export interface Calibration extends Correction {
  readonly tareKg: number
  /** What the bottle holds by its two weighings; null without the full one. */
  readonly capacityMl: number | null
}

export interface Calibrated {
  /** null: no scale can be made of this. */
  readonly calibration: Calibration | null
  /** What looks wrong, in words with a cure; the owner decides. */
  readonly warnings: readonly string[]
}

const FAR_OFF = 0.2

/**
 * A straight line through two weighings, and the bottle on it.
 *
 * SCALE-4 with nothing on it the scale reads 0, with the weight its mass, and the empty bottle what it is.
 * SCALE-5 what is not plausible is named: no difference, a factor more than a fifth off the one in force, a weight
 *         lighter than half the full bottle, an empty bottle that is heavier than the full one.
 */
export function calibrate(
  { taken }: ScaleWalk,
  { weightKg, bottle, binding }: { weightKg: number; bottle: Bottle; binding: SensorBinding | undefined },
): Calibrated {
  const sentAt = (step: ScaleStep): number | undefined => taken.find((t) => t.step === step)?.sent
  const [empty, weight, alone, full] = SCALE_STEPS.map(sentAt)
  if (empty === undefined || weight === undefined || alone === undefined)
    return { calibration: null, warnings: [] }
  if (!(weightKg > 0) || Math.abs(weight - empty) < steadyWithin(weight, binding)) {
    const cure = 'Go back, put the weight on, and check that nothing holds the plate.'
    return { calibration: null, warnings: [`The weight makes no difference to the scale. ${cure}`] }
  }
  const scale = weightKg / (weight - empty)
  const offset = -scale * empty
  const tareKg = scale * alone + offset
  const fullKg = full === undefined ? null : scale * full + offset
  const capacityMl = fullKg === null ? null : ((fullKg - tareKg) / bottle.densityKgPerL) * 1000
  const calibration = { scale, offset, tareKg: rounded(tareKg, 4), capacityMl: capacityMl === null ? null : Math.round(capacityMl / 10) * 10 }
  const warnings = warningsOf(calibration, { weightKg, bottle, binding })
  const isImpossible = capacityMl !== null && calibration.capacityMl !== null && calibration.capacityMl <= 0
  return { calibration: isImpossible ? null : calibration, warnings }
} // prettier-ignore

function warningsOf(
  { scale, tareKg, capacityMl }: Calibration,
  { weightKg, bottle, binding }: { weightKg: number; bottle: Bottle; binding: SensorBinding | undefined },
): string[] {
  const before = correctionOf(binding)
  const factor = scale / before.scale
  const holdsMl = capacityMl !== null && capacityMl > 0 ? capacityMl : bottle.capacityMl
  const fullKg = tareKg + (holdsMl / 1000) * bottle.densityKgPerL
  const warnings: string[] = []
  if (Math.abs(factor - 1) > FAR_OFF)
    warnings.push(
      `Until now a kilogram was read as ${rounded(1 / factor, 3)} kg: more than a fifth off. That is right for a scale that was never calibrated; else check what the weight weighs.`,
    )
  if (weightKg < fullKg / 2)
    warnings.push(
      `The weight is light: a full bottle weighs about ${rounded(fullKg, 1)} kg. With at least half of that the scale is surer (common practice, no source).`,
    )
  if (tareKg < 0) warnings.push('The empty bottle weighs less than nothing. Was the scale empty at first?')
  if (capacityMl !== null && capacityMl <= 0)
    warnings.push('The empty bottle is heavier than the full one. Were the two swapped? Go back and weigh again.')
  else if (capacityMl !== null && Math.abs(capacityMl / bottle.capacityMl - 1) > FAR_OFF)
    warnings.push(
      `By its weight the bottle holds ${capacityMl} mL up to its line, and not ${bottle.capacityMl} mL as was set. Check the line.`,
    )
  return warnings
} // prettier-ignore

/** The settings with the scale and the bottle as calibrated; a foreign device keeps its numbers in its binding. */
export function withCalibration(
  settings: Settings,
  { bottleId, sensorId, calibration }: { bottleId: string; sensorId: string; calibration: Calibration },
): Settings {
  const { scale, offset, tareKg, capacityMl } = calibration
  return {
    ...settings,
    sensors: settings.sensors.map((s) => {
      if (s.id !== sensorId) return s
      return s.foreign ? { ...s, foreign: { ...s.foreign, scale, offset } } : { ...s, correction: { scale, offset } }
    }),
    bottles: settings.bottles.map((b) =>
      b.id === bottleId ? { ...b, tareKg, ...(capacityMl === null ? {} : { capacityMl }) } : b,
    ),
  }
} // prettier-ignore

/** The reason that goes on record with it. */
export function calibrationWhy(weightKg: number, { scale, tareKg, capacityMl }: Calibration): string {
  const holds = capacityMl === null ? '' : `, ${capacityMl} mL to the full line`
  return `Scale calibrated at the bottle with a weight of ${weightKg} kg: factor ${rounded(scale, 5)}, empty bottle ${tareKg} kg${holds}.`
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits))
}
