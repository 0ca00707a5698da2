import { createChance } from '../../../../../sensors/simulator/chance.ts'
import { createRoomAir, roomHumidityPct, stepRoomAir } from '../../../../../sensors/simulator/room-air.ts'
import { demoPlan } from '../../../../../sensors/simulator/shop-plan.ts'
import { createWeather } from '../../../../../sensors/simulator/weather.ts'
import { DAY, HOUR, MINUTE } from './watched-room.ts'

export const EVERY_MS = 5 * MINUTE
const START_MS = Date.parse('2026-01-01T00:00:00Z')

export interface AirAt {
  readonly atMs: number
  readonly humidityPct: number
  readonly temperatureC: number
}

/**
 * The air of the demo shop's print floor, every 5 min: heated by day, humidified, open on weekdays; about once a
 * fortnight its air conditioner runs away for some hours, which is the fastest that air in a room can change.
 */
export function simulatedAir({ seed, days }: { seed: number; days: number }): readonly AirAt[] {
  const chance = createChance(seed)
  const weather = createWeather(chance)
  const runaway = chance.stream('runaway')
  const [plan] = demoPlan().rooms
  if (!plan) throw new RangeError('the demo shop has no room')
  const room = createRoomAir(plan)
  const air: AirAt[] = []
  for (let atMs = START_MS; atMs < START_MS + days * DAY; atMs += EVERY_MS) {
    const day = Math.floor(atMs / DAY)
    const hour = (atMs % DAY) / HOUR
    const open = (day + 3) % 7 < 5 && hour >= 8 && hour < 18
    const dried = runaway.at(day) < 1 / 14 && hour >= 19 && hour < 23
    const around = {
      outdoor: weather.at(atMs),
      open,
      mains: true,
      machinesW: open ? 700 : 90,
      driedToPct: dried ? 30 : null,
    }
    stepRoomAir(plan, room, around, EVERY_MS)
    air.push({ atMs, humidityPct: roomHumidityPct(room), temperatureC: room.temperatureC })
  }
  return air
}

/** What a sensor makes of it: its own offset, a little noise, and digits. */
export function sensorOn(
  name: string,
  { offset, noise, perUnit }: { offset: number; noise: number; perUnit: number },
): (value: number, atMs: number) => number {
  const stream = createChance(11).stream(name)
  return (value, atMs) => Math.round((value + offset + noise * stream.normalAt(atMs)) * perUnit) / perUnit
}
