import type { Room } from '../model/settings.ts'
import type { RoomView } from '../model/views.ts'
import { dewPointC, vapourPressureDeficitKpa, type Air } from '../physics/air.ts'
import { waterToHoldKgPerH, waterToLiftKg } from '../physics/humidification.ts'

/** What is measured now, by subject key and quantity; a value that is too old is absent. */
export type LatestValues = ReadonlyMap<string, number>

export function latestKey(subjectKey: string, quantity: string): string {
  return `${subjectKey}|${quantity}`
}

/**
 * A room's air now. Dew point and vapour pressure deficit need both temperature and humidity; the water that lifts the
 * humidity needs the room's volume as well, and the water that holds it the air outside, which is a room `outdoors`.
 */
export function roomView(room: Room, rooms: readonly Room[], latest: LatestValues): RoomView {
  const { id, title, outdoors, targetPct } = room
  const temperatureC = latest.get(latestKey(`room:${id}`, 'temperature')) ?? null
  const humidityPct = latest.get(latestKey(`room:${id}`, 'humidity')) ?? null
  const air = airOf(room, latest)
  return {
    id,
    title,
    temperatureC,
    humidityPct,
    // At 0 %RH there is no dew point.
    dewPointC: air && air.humidityPct > 0 ? dewPointC(air) : null,
    vpdKpa: air ? vapourPressureDeficitKpa(air) : null,
    outdoors,
    targetPct,
    ...waterOf(room, air, rooms, latest),
  }
}

function airOf({ id }: Room, latest: LatestValues): Air | null {
  const temperatureC = latest.get(latestKey(`room:${id}`, 'temperature'))
  const humidityPct = latest.get(latestKey(`room:${id}`, 'humidity'))
  return temperatureC === undefined || humidityPct === undefined ? null : { temperatureC, humidityPct }
}

function waterOf(
  room: Room,
  air: Air | null,
  rooms: readonly Room[],
  latest: LatestValues,
): Pick<RoomView, 'waterToLiftKg' | 'waterToHoldKgPerH'> {
  const { volumeM3, targetPct, airChangesPerH, outdoors } = room
  if (!air || volumeM3 === undefined || outdoors) return { waterToLiftKg: null, waterToHoldKgPerH: null }
  const outside = rooms.find((r) => r.outdoors)
  const outdoorAir = outside ? airOf(outside, latest) : null
  const { temperatureC } = air
  return {
    waterToLiftKg: waterToLiftKg({ volumeM3, air, targetPct }),
    waterToHoldKgPerH: outdoorAir
      ? waterToHoldKgPerH({ volumeM3, targetPct, airChangesPerH, temperatureC, outdoorAir })
      : null,
  }
}
