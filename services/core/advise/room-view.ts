import type { Room } from '../model/settings.ts'
import type { RoomView } from '../model/views.ts'
import { dewPointC, vapourPressureDeficitKpa } from '../physics/air.ts'

/** What is measured now, by subject key and quantity; a value that is too old is absent. */
export type LatestValues = ReadonlyMap<string, number>

export function latestKey(subjectKey: string, quantity: string): string {
  return `${subjectKey}|${quantity}`
}

/** A room's air now. Dew point and vapour pressure deficit need both temperature and humidity. */
export function roomView({ id, title }: Room, latest: LatestValues): RoomView {
  const temperatureC = latest.get(latestKey(`room:${id}`, 'temperature')) ?? null
  const humidityPct = latest.get(latestKey(`room:${id}`, 'humidity')) ?? null
  const air = temperatureC !== null && humidityPct !== null ? { temperatureC, humidityPct } : null
  return {
    id,
    title,
    temperatureC,
    humidityPct,
    // At 0 %RH there is no dew point.
    dewPointC: air && air.humidityPct > 0 ? dewPointC(air) : null,
    vpdKpa: air ? vapourPressureDeficitKpa(air) : null,
  }
}
