import type { NozzleCheck } from '../../services/core/study/clogs.ts'
import type { NightExposure } from '../../services/core/study/exposure.ts'

const DAY_MS = 86_400_000
const FIRST_MS = Date.UTC(2026, 0, 1)

/** The date of the nth night from the first of January 2026. */
export function nightDate(n: number): string {
  return new Date(FIRST_MS + n * DAY_MS).toISOString().slice(0, 10)
}

/** A quiet night of a channel group, but for what is said. */
export function exposureOn(n: number, said: Partial<NightExposure> = {}): NightExposure {
  return {
    headId: 'left',
    channelGroupId: 'white',
    nightOf: nightDate(n),
    doseKpaH: 12,
    minHumidityPct: 45,
    hoursBelowPct: 0,
    darkHours: 0,
    uncappedHours: 0,
    cleaningsSeen: 2,
    minTemperatureC: 20,
    actedUpon: false,
    modelVersion: '1',
    ...said,
  }
}

/** A check on the morning after the nth night. */
export function checkAfter(n: number, missingNozzles: number, said: Partial<NozzleCheck> = {}): NozzleCheck {
  return {
    channelGroupId: 'white',
    nightOf: nightDate(n),
    atMs: FIRST_MS + (n + 1) * DAY_MS + 8 * 3_600_000,
    missingNozzles,
    why: 'routine',
    ...said,
  }
}
