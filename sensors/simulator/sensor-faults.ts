import type { Chance } from './chance.ts'
import type { Incident } from './incident.ts'
import type { ShopPlan } from './plan-kinds.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
/** Chances a day; starting values. */
const NODE_GOES_DARK = 1 / 18
const SENSOR_STICKS = 1 / 80
const ROOM_DRIES_OUT = 1 / 14

/** Faults of one day: nodes that fall silent, humidity sensors that repeat themselves, and rooms that dry out. */
export function drawRoomAndSensorIncidents(plan: ShopPlan, chance: Chance) {
  const nodes = [...new Set(plan.sensors.map((s) => s.nodeId))]
  const humidity = plan.sensors.filter((s) => s.quantity === 'humidity')

  return (dayStartMs: number): readonly Incident[] => {
    const draw = (
      kind: Incident['kind'],
      subjectId: string,
      odds: number,
      hours: readonly [number, number],
    ): Incident[] => {
      const next = chance.stream(`${kind}/${subjectId}`).sequence(dayStartMs)
      if (next() >= odds) return []
      const fromMs = dayStartMs + next() * DAY
      const toMs = fromMs + (hours[0] + (hours[1] - hours[0]) * next() ** 2) * HOUR
      return [{ kind, subjectId, fromMs, toMs, ...(kind === 'dryAir' ? { value: 28 + 8 * next() } : {}) }]
    }
    return [
      ...nodes.flatMap((id) => draw('nodeDark', id, NODE_GOES_DARK, [0.1, 2])),
      ...humidity.flatMap((s) => draw('sensorStuck', s.id, SENSOR_STICKS, [2, 8])),
      ...plan.rooms.flatMap((r) => draw('dryAir', r.id, ROOM_DRIES_OUT, [0.5, 5])),
    ]
  }
}
