import { EXPOSURES, type Exposure, type NightExposure } from '../model/night-exposure.ts'
import { mustBeFinite } from '../statistics/check.ts'

export { EXPOSURES, type Exposure, type NightExposure }

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
