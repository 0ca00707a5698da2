import { describe, expect, it } from 'vitest'
import { sensorStuck } from '../../../../../services/core/detect/sensor-stuck.ts'
import { trusted } from '../../../../../services/core/track/trusted.ts'
import { contextOf, DAY, HOUR, MINUTE, noting, shopWith, watch, watchRoom } from '../track/watched-room.ts'

const BOTTLE = { kind: 'bottle', id: 'waste' } as const
const MACHINE = { kind: 'machine', id: 'roll-left' } as const
const flicker = (atMs: number): number => 45 + ((Math.floor(atMs / MINUTE) * 7) % 10) / 100

describe('sensor stuck', () => {
  it('STUCK-1 STUCK-2 opens and closes once, with the value that it repeated', () => {
    const room = watchRoom()
    for (let atMs = 0; atMs < HOUR; atMs += MINUTE) room.read('floor/a', atMs, flicker(atMs))
    for (let atMs = HOUR; atMs < 20 * HOUR; atMs += MINUTE) room.read('floor/a', atMs, 47.25)
    for (let atMs = 20 * HOUR; atMs < 21 * HOUR; atMs += MINUTE) room.read('floor/a', atMs, flicker(atMs))
    expect(room.found.map((f) => f.finding)).toEqual([
      { type: 'opened', fromMs: HOUR, openedMs: 9 * HOUR, value: 47.25, worst: 47.25 },
      { type: 'closed', toMs: 20 * HOUR, closedMs: 20 * HOUR + MINUTE, worst: 47.25 },
    ])
  })
  it('STUCK-1 a thermometer may stand still for a day, a fine scale for four', () => {
    const warm = watchRoom({ quantity: 'temperature' })
    const scale = { id: 'bench/scale', quantity: 'mass', subject: BOTTLE, intervalMs: 10 * MINUTE } as const
    const bottle = watch(contextOf(BOTTLE, shopWith([scale])), trusted(noting))
    for (let atMs = 0; atMs < 6 * DAY; atMs += 10 * MINUTE) {
      const first = atMs < HOUR && atMs % (20 * MINUTE) === 0
      for (let m = 0; m < 10; m++) warm.read('floor/a', atMs + m * MINUTE, first && m === 0 ? 20.1 : 20)
      bottle.read('bench/scale', atMs, first ? 1.2001 : 1.2)
    }
    expect(warm.found.map((f) => f.finding)).toMatchObject([
      { fromMs: 41 * MINUTE, openedMs: 41 * MINUTE + DAY },
    ])
    expect(bottle.found.map((f) => f.finding)).toMatchObject([
      { fromMs: 50 * MINUTE, openedMs: 50 * MINUTE + 4 * DAY, value: 1.2 },
    ])
  })
  it('STUCK-1 a bottle on a scale that rounds to 10 g may rest for ever', () => {
    const scale = { id: 'bench/scale', quantity: 'mass', subject: BOTTLE, intervalMs: 10 * MINUTE } as const
    const bottle = watch(contextOf(BOTTLE, shopWith([scale])), trusted(noting))
    for (let atMs = 0; atMs < 60 * DAY; atMs += 10 * MINUTE)
      bottle.read('bench/scale', atMs, atMs < HOUR ? 1.21 : 1.2)
    expect(bottle.found).toEqual([])
  })
  it('STUCK-3 meters and contacts are not judged', () => {
    const settings = shopWith(
      (['power', 'powered', 'voltage', 'current'] as const).map((quantity) => ({
        id: `m/${quantity}`,
        quantity,
        subject: MACHINE,
      })),
    )
    expect(sensorStuck.partsOf?.(contextOf(MACHINE, settings))).toEqual([])
  })
  it('STUCK-1 is judged under the subject that a sensor is bound to, not under who only hears it', () => {
    const floor = { kind: 'room', id: 'floor' } as const
    const settings = shopWith([{ id: 'floor/a', quantity: 'humidity', subject: floor }])
    expect(sensorStuck.partsOf?.(contextOf(floor, settings))).toEqual([{ kind: 'sensor', id: 'floor/a' }])
    expect(sensorStuck.partsOf?.(contextOf(MACHINE, settings, [floor, MACHINE]))).toEqual([])
  })
})
