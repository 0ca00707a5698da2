import type { Chance } from './chance.ts'
import type { BottlePlan } from './plan-kinds.ts'

export interface LoadOnCell {
  readonly atMs: number
  readonly massKg: number
  readonly temperatureC: number
  readonly printing: boolean
  readonly open: boolean
}

export interface LoadCell {
  /** What scale and amplifier say of a load, in kg. Asked in order of time: creep remembers. */
  readonly readKg: (load: LoadOnCell) => number
}

/** Creep of a class C3 cell: 0.0245 % of its capacity in 30 min near full load (OIML R 60-1:2021, 5.5.1, n = 3000). */
const CREEP_SHARE = 0.000245
const CREEP_MS = 10 * 60_000
/** Zero drift 0.0140 % of capacity per 10 K (same, 5.6.1.3 with Y = 10000). Span 0.0015 %/K: from memory, a usual data sheet. */
const ZERO_PER_K = 0.000014
const SPAN_PER_K = 0.000015
const ZEROED_AT_C = 21
/** Amplifier: 50 nV rms at 10 samples a second, 0.05 g on a 5 kg cell of 1 mV/V at 5 V. */
const NOISE_SHARE = 0.00001
const VIBRATION_KG = 0.0008
/** Bumps and hands, a stretch of 20 s each: starting values. Slow drift that no standard limits: within about 6 g. */
const TOUCH_MS = 20_000
const TOUCH_ODDS_OPEN = 0.0006
const SLOW_MS = 5 * 86_400_000
const SLOW_KG = 0.002

export function createLoadCell(plan: BottlePlan, chance: Chance): LoadCell {
  const noise = chance.stream(`cell/${plan.id}`)
  const touches = chance.stream(`touch/${plan.id}`)
  const slow = chance.stream(`drift/${plan.id}`)
  let creepKg: number | null = null
  let lastMs = 0

  return {
    readKg: ({ atMs, massKg, temperatureC, printing, open }) => {
      const crept = CREEP_SHARE * massKg
      creepKg = creepKg === null ? crept : crept + (creepKg - crept) * Math.exp(-(atMs - lastMs) / CREEP_MS)
      lastMs = atMs
      const warmK = temperatureC - ZEROED_AT_C
      const shaken = noise.normalAt(atMs) * (NOISE_SHARE * plan.cellKg + (printing ? VIBRATION_KG : 0))
      const drift = ZERO_PER_K * plan.cellKg * warmK + SPAN_PER_K * massKg * warmK + driftKg(slow, atMs)
      return massKg + creepKg + drift + shaken + (open ? touchKg(touches, atMs) : 0)
    },
  }
}

function driftKg(slow: ReturnType<Chance['stream']>, atMs: number): number {
  const knot = Math.floor(atMs / SLOW_MS)
  const part = atMs / SLOW_MS - knot
  return SLOW_KG * (slow.normalAt(knot) * (1 - part) + slow.normalAt(knot + 1) * part)
}

/** A hand that leans on the bottle or a knee that lifts the bench. */
function touchKg(touches: ReturnType<Chance['stream']>, atMs: number): number {
  const stretch = Math.floor(atMs / TOUCH_MS)
  return touches.at(2 * stretch) < TOUCH_ODDS_OPEN ? -0.3 + 1.6 * touches.at(2 * stretch + 1) : 0
}
