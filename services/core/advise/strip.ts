import type { Bottle } from '../model/settings.ts'
import type { MachineView } from '../model/views.ts'
import { fillPct } from '../physics/bottle-volume.ts'

/** One sensor's past as the store gives it: buckets in order of time; empty ones are left out. */
export interface SensorPast {
  readonly quantity: string
  readonly points: readonly { readonly atMs: number; readonly mean: number; readonly last: number }[]
  readonly bucketMs: number
  /** How long its readings stand for the time after them. */
  readonly validForMs: number
  /** The newest reading, or null. */
  readonly newest: { readonly atMs: number; readonly value: number } | null
}

/** A machine's strip of the past, ready to draw. */
export interface MachineStrip {
  readonly humidity: Pick<MachineView['humidity'], 'nowPct' | 'runs'>
  /** Fill of the bottle in percent. */
  readonly bottle: { runs: [number, number][][] } | null
  /** Does everything that is bound to it speak now? */
  readonly known: boolean
}

export interface StripMaterial {
  readonly bottle: Bottle | undefined
  readonly humidity: SensorPast | undefined
  readonly power: SensorPast | undefined
  readonly mass: SensorPast | undefined
  readonly nowMs: number
}

export function machineStrip({ bottle, humidity, power, mass, nowMs }: StripMaterial): MachineStrip {
  const bound = [humidity, power, mass].filter((p) => p !== undefined)
  return {
    humidity: {
      nowPct: humidity ? current(humidity, nowMs) : null,
      runs: humidity ? runsOf(humidity, (v) => v) : [],
    },
    bottle: bottle ? { runs: mass ? runsOf(mass, (v) => fillPct(v, bottle)) : [] } : null,
    known: bound.length > 0 && bound.every((p) => current(p, nowMs) !== null),
  }
}

/** The newest value, unless it is too old to stand for now. */
function current({ newest, validForMs }: SensorPast, nowMs: number): number | null {
  return newest && nowMs - newest.atMs <= validForMs ? newest.value : null
}

/** Splits points into runs: two points further apart than a reading stands for have a gap between them. */
function runsOf(
  { points, bucketMs, validForMs }: SensorPast,
  toValue: (v: number) => number,
): [number, number][][] {
  const runs: [number, number][][] = []
  let lastMs = -Infinity
  for (const { atMs, mean } of points) {
    if (atMs - lastMs > Math.max(2 * bucketMs, validForMs)) runs.push([])
    runs.at(-1)?.push([Math.round(atMs + bucketMs / 2), rounded(toValue(mean))])
    lastMs = atMs
  }
  return runs
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10
}
