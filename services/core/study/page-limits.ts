import type { ProposedLimit } from '../model/causes-view.ts'
import type { Exposure } from '../model/night-exposure.ts'
import type { Limits } from '../model/settings.ts'

/** A limit that an exposure is held against on the page. */
export interface PageLimit {
  readonly value: number
  readonly origin: 'settings' | 'starting'
}

const HOUR_MS = 3_600_000
/** Fixed before anybody looked at a night; starting values. */
const HOURS_OF_DRY_AIR = 2
const CLEANINGS = 1

/**
 * PAGELIMIT-1 limits of the page are those of the settings where there is one, and fixed beforehand where there is none.
 * PAGELIMIT-2 dose is held against the limit of colour, or of white where no colour is watched: what one night gathers,
 *             not what stood before it.
 */
export function pageLimits(
  { airDryPct, roomColdC, doseKpaH, powerOff }: Limits,
  isWhiteAlone: boolean,
): Readonly<Record<Exposure, PageLimit>> {
  const set = (value: number): PageLimit => ({ value, origin: 'settings' })
  const starting = (value: number): PageLimit => ({ value, origin: 'starting' })
  return {
    doseKpaH: set(isWhiteAlone ? doseKpaH.white : doseKpaH.colour),
    minHumidityPct: set(airDryPct.openBelow),
    hoursBelowPct: starting(HOURS_OF_DRY_AIR),
    darkHours: set(powerOff.toldMs / HOUR_MS),
    uncappedHours: set(Math.round((powerOff.uncappedMs / HOUR_MS) * 100) / 100),
    cleaningsSeen: starting(CLEANINGS),
    minTemperatureC: set(roomColdC.openBelow),
  }
}

/** Limits of the settings for which a better one is looked for. */
export const PROPOSABLE: Readonly<
  Record<
    ProposedLimit,
    {
      readonly exposure: Exposure
      /** The channel groups whose nights it is chosen from; null for all. */
      readonly ink: 'colour' | 'white' | null
      readonly now: (limits: Limits) => number
    }
  >
> = {
  airDryPct: { exposure: 'minHumidityPct', ink: null, now: (l) => l.airDryPct.openBelow },
  roomColdC: { exposure: 'minTemperatureC', ink: null, now: (l) => l.roomColdC.openBelow },
  doseColourKpaH: { exposure: 'doseKpaH', ink: 'colour', now: (l) => l.doseKpaH.colour },
  doseWhiteKpaH: { exposure: 'doseKpaH', ink: 'white', now: (l) => l.doseKpaH.white },
}
