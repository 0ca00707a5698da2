import type { ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { Condition } from '../../services/core/model/episode.ts'
import type { Faults } from './faults.ts'
import type { Level, SpanRecorder } from './span-recorder.ts'

/** Sensors are off by 0.6 %RH and 0.12 K at most, and noise on top: nearer to a limit nobody can tell. */
const NEAR_PCT = 1.2
const NEAR_K = 0.4

/** True air of the rooms against the limits. */
export function watchRooms(plan: ShopPlan, faults: Faults, recorder: SpanRecorder) {
  const { limits } = plan.settings
  const rooms = plan.rooms.map(({ id }) => {
    const of = (quantity: string) => plan.sensors.filter((s) => s.subjectId === id && s.quantity === quantity)
    return { id, humidity: of('humidity'), temperature: of('temperature') }
  })

  return (now: ShopNow): void => {
    const { atMs } = now
    for (const { id, humidity, temperature } of rooms) {
      const air = now.rooms.get(id)
      if (!air) continue
      const subject = `room:${id}`
      const note = (
        condition: Condition,
        level: Level,
        { onDelayMs }: { onDelayMs: number },
        sensors: typeof humidity,
      ): void => {
        const ids = sensors.map((s) => s.id)
        const slackMs = 2 * Math.max(...sensors.map((s) => s.everyMs))
        const time = { atMs, delayMs: onDelayMs, slackMs }
        recorder.note({ condition, subject }, faults.seen(level, ids, atMs), time)
      }
      const { humidityPct, temperatureC } = air
      const below = (value: number, limit: number, near: number): Level =>
        value < limit - near ? 2 : value < limit + near ? 1 : 0
      const above = (value: number, limit: number, near: number): Level => below(-value, -limit, near)
      note('airDry', below(humidityPct, limits.airDryPct.openBelow, NEAR_PCT), limits.airDryPct, humidity)
      note(
        'airVeryDry',
        below(humidityPct, limits.airVeryDryPct.openBelow, NEAR_PCT),
        limits.airVeryDryPct,
        humidity,
      )
      note('airDamp', above(humidityPct, limits.airDampPct.openAbove, NEAR_PCT), limits.airDampPct, humidity)
      note('roomCold', below(temperatureC, limits.roomColdC.openBelow, NEAR_K), limits.roomColdC, temperature)
      note('roomWarm', above(temperatureC, limits.roomWarmC.openAbove, NEAR_K), limits.roomWarmC, temperature)
    }
  }
}
