import type { StoredNight } from '../model/night-exposure.ts'
import type { Span } from '../model/opening-hours.ts'
import { QUARTER_MS, type MachineDoing, type MachineQuarter } from '../model/quarter.ts'
import type { Limits, Machine } from '../model/settings.ts'
import type { ShopNight } from './shop-nights.ts'

const HOUR_MS = 3_600_000
const NIGHT_RULES = '1'
/** With more than this share of a night unseen, what is asked of it is not known. Starting value. */
export const MOST_UNSEEN = 0.1

/** Rules, and the limit that hours of dry air are counted below: nights of two versions are never put together. */
export function nightModelVersion({ airDryPct }: Pick<Limits, 'airDryPct'>): string {
  return `${NIGHT_RULES}, dry below ${airDryPct.openBelow} %RH`
}

/** Mean of a sensor over the quarter of an hour that begins at `atMs`. */
export interface QuarterMean {
  readonly atMs: number
  readonly mean: number
}

export interface NightMaterial {
  readonly night: ShopNight
  readonly machine: Machine
  /** From the one that ends at closing or within a quarter of an hour before it, to the one in which it opens. */
  readonly quarters: readonly MachineQuarter[]
  /** Of each trusted sensor of the machine's room. */
  readonly humidityPct: readonly (readonly QuarterMean[])[]
  readonly temperatureC: readonly (readonly QuarterMean[])[]
  readonly dryBelowPct: number
  readonly actedUpon: boolean
  readonly modelVersion: string
}

/**
 * What a night did to each channel group of a machine.
 *
 * NIGHT-1 a quarter of an hour counts as far as it lies within the night.
 * NIGHT-2 what more than a tenth of the night does not tell is not known: null, never nothing.
 * NIGHT-3 dose is what was gathered from closing to opening, whatever was wetted in between: the sum of its rises; where
 *         it fell, what the quarter's own air and cap gave. It is not known without the air.
 * NIGHT-4 air is the mean of the room's sensors over a quarter of an hour: a breath at a probe is no dry night.
 * NIGHT-5 hours without power and off the cap are known where the machine's state is; cleanings only where a meter tells
 *         them, which a contact cannot.
 */
export function nightExposures(material: NightMaterial): StoredNight[] {
  const { night, machine, quarters, dryBelowPct, actedUpon, modelVersion } = material
  const { fromMs, toMs, nightOf } = night
  const humidity = roomAir(material.humidityPct, night)
  const temperature = roomAir(material.temperatureC, night)
  const shared = {
    machineId: machine.id,
    nightOf,
    fromMs,
    toMs,
    minHumidityPct: lowest(humidity),
    hoursBelowPct: humidity && rounded(hoursOf(humidity.filter((c) => c.mean < dryBelowPct))),
    ...seenOf(quarters, night),
    minTemperatureC: lowest(temperature),
    actedUpon,
    modelVersion,
  }
  return machine.heads.flatMap((head) =>
    head.channelGroups.map(({ id }) => ({
      ...shared,
      headId: head.id,
      channelGroupId: id,
      doseKpaH: gatheredDose(id, material),
    })),
  )
}

interface Weighted {
  readonly heldMs: number
}

function heldWithin({ fromMs, toMs }: Span, startMs: number): number {
  return Math.max(0, Math.min(toMs, startMs + QUARTER_MS) - Math.max(fromMs, startMs))
}

/** Whether enough of the night is told. */
function isKnown(toldMs: number, { fromMs, toMs }: Span): boolean {
  return toldMs >= (1 - MOST_UNSEEN) * (toMs - fromMs)
}

type AirCell = Weighted & { readonly mean: number }

function roomAir(sensors: NightMaterial['humidityPct'], night: Span): readonly AirCell[] | null {
  const cells = new Map<number, number[]>()
  for (const { atMs, mean } of sensors.flat()) {
    if (heldWithin(night, atMs) === 0) continue
    const cell = cells.get(atMs)
    if (cell) cell.push(mean)
    else cells.set(atMs, [mean])
  }
  const air = [...cells].map(([atMs, means]) => ({
    heldMs: heldWithin(night, atMs),
    mean: means.reduce((a, b) => a + b, 0) / means.length,
  }))
  return isKnown(sum(air.map((c) => c.heldMs)), night) ? air : null
}

function lowest(air: readonly AirCell[] | null): number | null {
  return air && rounded(air.reduce((low, c) => Math.min(low, c.mean), Infinity))
}

function hoursOf(cells: readonly Weighted[]): number {
  return sum(cells.map((c) => c.heldMs)) / HOUR_MS
}

/** All but these say of a machine with a meter whether it cleaned. */
const CLEANING_UNSEEN: readonly MachineDoing[] = ['unknown', 'on']

function seenOf(
  quarters: readonly MachineQuarter[],
  night: Span,
): Pick<StoredNight, 'darkHours' | 'uncappedHours' | 'cleaningsSeen'> {
  let [stateMs, meterMs, darkMs, uncappedMs, cleanings] = [0, 0, 0, 0, 0]
  for (const { endMs, seconds, uncappedS, cleanings: seen } of quarters) {
    const heldMs = heldWithin(night, endMs - QUARTER_MS)
    if (heldMs === 0) continue
    const share = heldMs / QUARTER_MS
    for (const [state, s] of Object.entries(seconds) as [MachineDoing, number][]) {
      const ms = s * 1000 * share
      if (state !== 'unknown') stateMs += ms
      if (!CLEANING_UNSEEN.includes(state)) meterMs += ms
      if (state === 'off') darkMs += ms
    }
    uncappedMs += uncappedS * 1000 * share
    if (share >= 0.5) cleanings += seen
  }
  const isStateKnown = isKnown(stateMs, night)
  return {
    darkHours: isStateKnown ? rounded(darkMs / HOUR_MS) : null,
    uncappedHours: isStateKnown ? rounded(uncappedMs / HOUR_MS) : null,
    cleaningsSeen: isKnown(meterMs, night) ? cleanings : null,
  }
}

function gatheredDose(groupId: string, { night, quarters }: NightMaterial): number | null {
  let [dose, toldMs] = [0, 0]
  let before: { endMs: number; doseKpaH: number } | null = null
  for (const quarter of quarters) {
    const { endMs, deficitKpa } = quarter
    const ink = quarter.inks.find((i) => i.channelGroupId === groupId)
    if (!ink) continue
    const heldMs = heldWithin(night, endMs - QUARTER_MS)
    if (deficitKpa !== null && heldMs > 0) {
      const byAir = gainByAir(quarter, night.settings.limits)
      const isNext: boolean = before !== null && endMs - before.endMs === QUARTER_MS
      const rise: number = isNext && before ? ink.doseKpaH - before.doseKpaH : byAir
      const gain = rise >= 0 ? rise : Math.min(byAir, ink.doseKpaH)
      dose += (gain * heldMs) / QUARTER_MS
      toldMs += heldMs
    }
    before = { endMs, doseKpaH: ink.doseKpaH }
  }
  return isKnown(toldMs, night) ? rounded(dose) : null
}

/** What a quarter of an hour of this air gives an ink, by how long of it was uncapped. */
function gainByAir({ deficitKpa, uncappedS }: MachineQuarter, { exposureFactor }: Limits): number {
  const uncapped = (uncappedS * 1000) / QUARTER_MS
  const factor = uncapped * exposureFactor.uncapped + (1 - uncapped) * exposureFactor.capped
  return ((deficitKpa ?? 0) * factor * QUARTER_MS) / HOUR_MS
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0)
}

function rounded(value: number): number {
  return Math.round(value * 1000) / 1000
}
