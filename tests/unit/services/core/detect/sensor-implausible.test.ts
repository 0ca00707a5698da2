import { describe, expect, it } from 'vitest'
import { sensorImplausible } from '../../../../../services/core/detect/sensor-implausible.ts'
import { contextOf, HOUR, MINUTE, shopWith, watchRoom } from '../track/watched-room.ts'

const flicker = (atMs: number): number => 12 + ((Math.floor(atMs / MINUTE) * 7) % 10) / 100

describe('sensor implausible', () => {
  it('IMPLAUSIBLE-1 IMPLAUSIBLE-3 opens and closes once, with the bad value that proved it and the worst one', () => {
    const room = watchRoom()
    const bad = [1.5, 1, 1.2, 1.4, 1.3, 0.2, 0.5]
    for (const [i, value] of bad.entries()) room.read('floor/a', i * MINUTE, value)
    for (let atMs = bad.length * MINUTE; atMs < 2 * HOUR; atMs += MINUTE)
      room.read('floor/a', atMs, flicker(atMs))
    expect(room.found.map((f) => f.finding)).toEqual([
      { type: 'opened', fromMs: 0, openedMs: 4 * MINUTE, value: 1.3, worst: 1.3 },
      { type: 'closed', toMs: 7 * MINUTE, closedMs: 37 * MINUTE, worst: 0.2 },
    ])
  })
  it('IMPLAUSIBLE-2 one bad reading opens nothing, be it a spike or a value outside the range', () => {
    const room = watchRoom()
    for (const [i, value] of [45, 45.1, 90, 45, 45.1, 0, 45].entries()) {
      room.read('floor/a', i * 70 * MINUTE, value)
      room.read('floor/a', (i * 70 + 1) * MINUTE, 45)
    }
    expect(room.found).toEqual([])
  })
  it('IMPLAUSIBLE-1 meters and contacts are not judged', () => {
    const machine = { kind: 'machine', id: 'roll-left' } as const
    const settings = shopWith([{ id: 'bench/meter', quantity: 'power', subject: machine }])
    expect(sensorImplausible.partsOf?.(contextOf(machine, settings))).toEqual([])
  })
})
