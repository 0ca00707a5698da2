import type { Chance } from './chance.ts'
import type { Incidents } from './incident.ts'
import type { SensorPlan } from './plan-kinds.ts'

const DAY = 86_400_000
/** What a broken sensor throws in between, and what the sensor of the plan can say at all. Starting values. */
const GARBAGE: Record<SensorPlan['quantity'], readonly [number, number]> = {
  humidity: [0, 100],
  temperature: [-40, 85],
  mass: [-2, 12],
  power: [0, 3000],
  powered: [0, 1],
}
const RANGE: Record<SensorPlan['quantity'], readonly [number, number]> = {
  humidity: [0, 100],
  temperature: [-40, 85],
  mass: [-100, 1000],
  power: [0, 100_000],
  powered: [0, 1],
}

/** What a sensor that runs away, throws garbage or stands at the end of its range makes of a good value. */
export function createSensorTrouble({ id, quantity }: SensorPlan, chance: Chance, incidents: Incidents) {
  const draws = chance.stream(`garbage/${id}`)
  const [least, most] = RANGE[quantity]
  const [garbageFrom, garbageTo] = GARBAGE[quantity]

  return (value: number, atMs: number): number => {
    if (incidents.sparesAllDay(id, atMs)) return value
    const rail = incidents.at('sensorAtRail', id, atMs)
    if (rail) return rail.value ?? least
    const spikes = incidents.at('sensorSpikes', id, atMs)
    if (spikes && draws.at(2 * atMs) < (spikes.value ?? 0)) {
      return Math.round(garbageFrom + (garbageTo - garbageFrom) * draws.at(2 * atMs + 1))
    }
    const drift = incidents.at('sensorDrifts', id, atMs)
    if (!drift) return value
    const runAway = value + ((drift.value ?? 0) * (atMs - drift.fromMs)) / DAY
    return Math.min(most, Math.max(least, Math.round(runAway * 10_000) / 10_000))
  }
}
