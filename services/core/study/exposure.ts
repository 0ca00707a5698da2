import { mustBeFinite } from '../statistics/check.ts'

/** What a night did to the ink of one channel group of one head. Stored nightly; null where it was not known. */
export interface NightExposure {
  readonly headId: string
  readonly channelGroupId: string
  /** The day the night began on, `2026-03-14`, in the shop's zone. */
  readonly nightOf: string
  /** Drying dose gathered from closing to opening, kPa h. */
  readonly doseKpaH: number | null
  /** Lowest relative humidity of the room, %. */
  readonly minHumidityPct: number | null
  /** Hours below the room's dry limit, 0 to 24. */
  readonly hoursBelowPct: number | null
  /** Hours without power, 0 to 24. */
  readonly darkHours: number | null
  /** Hours probably off the cap, 0 to 24. */
  readonly uncappedHours: number | null
  /** Cleanings that were seen, a count. */
  readonly cleaningsSeen: number | null
  /** Lowest temperature of the room, degC. */
  readonly minTemperatureC: number | null
  /** Nightcap told somebody, who did something about it: the night is not what it would have been. */
  readonly actedUpon: boolean
  /** Version of the rules that computed it. */
  readonly modelVersion: string
}

export const EXPOSURES = [
  'doseKpaH',
  'minHumidityPct',
  'hoursBelowPct',
  'darkHours',
  'uncappedHours',
  'cleaningsSeen',
  'minTemperatureC',
] as const
export type Exposure = (typeof EXPOSURES)[number]

interface ExposureKind {
  /** As in "after nights with more drying". */
  readonly more: string
  readonly less: string
  /** Which way we expect harm. */
  readonly harmful: 'more' | 'less'
  readonly unit: string
}

export const EXPOSURE_KINDS: Readonly<Record<Exposure, ExposureKind>> = {
  doseKpaH: { more: 'more drying', less: 'less drying', harmful: 'more', unit: 'kPa h' },
  minHumidityPct: { more: 'damper air', less: 'drier air', harmful: 'less', unit: '%RH' },
  hoursBelowPct: {
    more: 'more hours of dry air',
    less: 'fewer hours of dry air',
    harmful: 'more',
    unit: 'h',
  },
  darkHours: {
    more: 'more hours without power',
    less: 'fewer hours without power',
    harmful: 'more',
    unit: 'h',
  },
  uncappedHours: {
    more: 'more hours off the cap',
    less: 'fewer hours off the cap',
    harmful: 'more',
    unit: 'h',
  },
  cleaningsSeen: { more: 'more cleanings', less: 'fewer cleanings', harmful: 'less', unit: 'cleanings' },
  minTemperatureC: { more: 'a warmer room', less: 'a colder room', harmful: 'less', unit: 'degC' },
}

/** Whether a night lies on the harmful side of a limit; on the limit itself it does not. */
export function isBeyond(exposure: Exposure, value: number, limit: number): boolean {
  return EXPOSURE_KINDS[exposure].harmful === 'more' ? value > limit : value < limit
}

/**
 * Days since 1970-01-01 of a date.
 *
 * @throws {RangeError} if the text is no date such as 2026-03-14.
 */
export function dayNumber(name: string, date: string): number {
  const atMs = /^\d{4}-\d{2}-\d{2}$/.test(date) ? Date.parse(`${date}T00:00:00Z`) : NaN
  if (Number.isNaN(atMs)) throw new RangeError(`${name} must be a date such as 2026-03-14, got ${date}`)
  return atMs / 86_400_000
}

/** @throws {RangeError} naming the night and the value that is no number. */
export function mustBeExposure(night: NightExposure): void {
  for (const exposure of EXPOSURES) {
    const value = night[exposure]
    if (value !== null) mustBeFinite(`${exposure} of ${night.channelGroupId} on ${night.nightOf}`, value)
  }
}
