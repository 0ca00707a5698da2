/** What a night did to the ink of one channel group of one head. Stored nightly; null where it was not known. */
export interface NightExposure {
  readonly headId: string
  readonly channelGroupId: string
  /** The day the night began on, `2026-03-14`, in the shop's zone: a weekend is one night, that of its Friday. */
  readonly nightOf: string
  /** Drying dose gathered from closing to opening, kPa h. */
  readonly doseKpaH: number | null
  /** Lowest relative humidity of the room, %. */
  readonly minHumidityPct: number | null
  /** Hours below the room's dry limit, at most as long as the shop was closed. */
  readonly hoursBelowPct: number | null
  /** Hours without power, likewise. */
  readonly darkHours: number | null
  /** Hours probably off the cap, likewise. */
  readonly uncappedHours: number | null
  /** Cleanings that were seen or logged, a count. */
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

/** A night as it is kept, with the machine of its head and the closed time it stands for. */
export interface StoredNight extends NightExposure {
  readonly machineId: string
  /** From closing to opening, UTC ms. */
  readonly fromMs: number
  readonly toMs: number
}
