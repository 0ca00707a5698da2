import type { Settings } from '../model/settings.ts'
import { vapourPressureDeficitKpa } from '../physics/air.ts'

const HOUR_MS = 3_600_000
/** Of a room whose temperature nobody measures; a starting value, no source. */
export const ASSUMED_TEMPERATURE_C = 22

/** How it is known when the ink was last wetted. `unknown`: nothing was seen, told or logged since it came under watch. */
export type WettingBasis = 'seen' | 'logged' | 'assumed' | 'unknown'

/** When a channel group's ink was last wetted, and where the integral stood then. */
export interface InkFacts {
  /** The integral at which its dose would be zero. After a partial cleaning a point in between. */
  zeroKpaH: number
  wettedMs: number | null
  basis: WettingBasis
  /** Last print or stir: what moves the ink. Null where none was seen or logged. */
  movedMs: number | null
  /** The dose over the last half day, for people to look at: time and kPa h, oldest first. */
  trace: [number, number][]
}

/**
 * The drying dose of a machine's inks: the integral of vapour pressure deficit times exposure factor since the ink was
 * last wetted, in kPa h. All heads of a machine share its air, its power and its carriage, so one integral serves all
 * its channel groups, and each keeps only where that integral stood when it was last wetted.
 */
export interface DryingFacts {
  integralKpaH: number
  integralAtMs: number | null
  /** How fast the integral grows now: deficit in kPa times exposure factor. */
  rateKpa: number
  inks: Record<string, InkFacts>
}

export function initialDrying(): DryingFacts {
  return { integralKpaH: 0, integralAtMs: null, rateKpa: 0, inks: {} }
}

/** Moves the integral on to `atMs` at the rate that held. */
export function advanceDrying(drying: DryingFacts, atMs: number): void {
  drying.integralKpaH = integralAt(drying, atMs)
  drying.integralAtMs = atMs
}

export function integralAt({ integralKpaH, integralAtMs, rateKpa }: DryingFacts, atMs: number): number {
  if (integralAtMs === null || atMs <= integralAtMs) return integralKpaH
  return integralKpaH + (rateKpa * (atMs - integralAtMs)) / HOUR_MS
}

/**
 * Deficit of the air around the heads in kPa, or null where no humidity is known. Values that a sensor gives just
 * outside 0 to 100 %RH never come this far.
 */
export function deficitKpa(air: { humidityPct: number | null; temperatureC: number | null }): number | null {
  if (air.humidityPct === null) return null
  const { humidityPct, temperatureC } = air
  return vapourPressureDeficitKpa({ humidityPct, temperatureC: temperatureC ?? ASSUMED_TEMPERATURE_C })
}

/** The dose of an ink at `atMs`, kPa h. @throws {RangeError} if the machine has no such channel group. */
export function doseKpaH(drying: DryingFacts, groupId: string, atMs: number): number {
  return Math.max(0, integralAt(drying, atMs) - inkOf(drying, groupId).zeroKpaH)
}

export function inkOf(drying: DryingFacts, groupId: string): InkFacts {
  const ink = drying.inks[groupId]
  if (!ink)
    throw new RangeError(`there is no channel group ${groupId}: the settings and the facts do not agree`)
  return ink
}

export interface Wetting {
  readonly atMs: number
  readonly basis: WettingBasis
  /** What it leaves of the dose: 0 wets wholly. */
  readonly keeps: number
  readonly moves: boolean
  /** The channel groups it wets. */
  readonly groupIds: readonly string[]
}

/**
 * WET-1 a print or a purge resets what it used; a partial cleaning leaves a part of the dose.
 * WET-2 the basis says how the last wetting is known: seen by the meter, logged by a person, or assumed.
 */
export function wet(drying: DryingFacts, { atMs, basis, keeps, moves, groupIds }: Wetting): void {
  advanceDrying(drying, atMs)
  const { integralKpaH } = drying
  for (const groupId of groupIds) {
    const ink = inkOf(drying, groupId)
    addToTrace(ink, atMs, integralKpaH)
    ink.zeroKpaH = integralKpaH - keeps * Math.max(0, integralKpaH - ink.zeroKpaH)
    ink.wettedMs = atMs
    ink.basis = basis
    if (moves) ink.movedMs = atMs
    addToTrace(ink, atMs, integralKpaH)
  }
}

const TRACE_EVERY_MS = 15 * 60_000
const TRACE_KEPT_MS = 12.5 * HOUR_MS

/** Notes where each dose stands, once a quarter of an hour. Time is `atMs`, to which the integral was moved. */
export function noteTrace({ inks, integralKpaH }: DryingFacts, atMs: number): void {
  for (const id in inks) {
    const ink = inks[id]
    if (!ink) continue
    const lastMs = ink.trace.at(-1)?.[0] ?? -Infinity
    if (atMs - lastMs >= TRACE_EVERY_MS) addToTrace(ink, atMs, integralKpaH)
  }
}

function addToTrace(ink: InkFacts, atMs: number, integralKpaH: number): void {
  ink.trace.push([atMs, Math.round(Math.max(0, integralKpaH - ink.zeroKpaH) * 100) / 100])
  while ((ink.trace[0]?.[0] ?? atMs) < atMs - TRACE_KEPT_MS) ink.trace.shift()
}

/** Channel groups that came are taken as freshly watched: their dose begins now. Those that went are forgotten. */
export function followInks(drying: DryingFacts, groupIds: readonly string[]): void {
  for (const id of Object.keys(drying.inks))
    if (!groupIds.includes(id)) Reflect.deleteProperty(drying.inks, id)
  for (const id of groupIds) {
    drying.inks[id] ??= {
      zeroKpaH: drying.integralKpaH,
      wettedMs: null,
      basis: 'unknown',
      movedMs: null,
      trace: [],
    }
  }
}

type ChannelGroups = Settings['machines'][number]['heads'][number]['channelGroups']
const groups = new WeakMap<Settings, Map<string, ChannelGroups>>()

/** All channel groups of a machine's installed heads, in the order of the settings. Asked at every reading. */
export function groupsOf(settings: Settings, machineId: string): ChannelGroups {
  let ofSettings = groups.get(settings)
  if (!ofSettings) groups.set(settings, (ofSettings = new Map<string, ChannelGroups>()))
  let found = ofSettings.get(machineId)
  if (!found) {
    const heads = settings.machines.find((m) => m.id === machineId)?.heads ?? []
    found = heads.filter((h) => h.removedOn === undefined).flatMap((h) => h.channelGroups)
    ofSettings.set(machineId, found)
  }
  return found
}
