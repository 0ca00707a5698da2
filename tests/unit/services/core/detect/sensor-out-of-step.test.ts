import { describe, expect, it } from 'vitest'
import { trusted } from '../../../../../services/core/track/trusted.ts'
import { contextOf, DAY, HOUR, MINUTE, noting, shopWith, watch, watchRoom } from '../track/watched-room.ts'

/** Flickers by exact binary fractions, so that differences come out even. */
const flicker = (atMs: number): number => 45 + (Math.floor(atMs / MINUTE) % 4) / 64

describe('sensor out of step', () => {
  it('STEP-OUT-1 STEP-OUT-2 opens and closes once on the odd one out; its value is the signed difference', () => {
    const room = watchRoom({ sensors: 3 })
    for (let atMs = 0; atMs < 2 * DAY; atMs += MINUTE) {
      const off = atMs < HOUR || atMs >= DAY ? 0 : atMs < 20 * HOUR ? -15 : -16
      for (const [i, id] of room.ids.entries()) room.read(id, atMs + i, flicker(atMs) + (i === 2 ? off : 0))
    }
    expect(room.found.map((f) => f.sensorId)).toEqual(['floor/c', 'floor/c'])
    expect(room.found.map((f) => f.finding)).toEqual([
      { type: 'opened', fromMs: HOUR + 2, openedMs: 9 * HOUR + 2, value: -15, worst: -15 },
      { type: 'closed', toMs: DAY + 2, closedMs: DAY + 2 * HOUR + 2, worst: -16 },
    ])
  })
  it('STEP-OUT-1 a sensor that is alone in its room is out of step with nobody', () => {
    const room = watchRoom()
    for (let atMs = 0; atMs < 10 * DAY; atMs += MINUTE)
      room.read('floor/a', atMs, flicker(atMs) + (3 * atMs) / DAY)
    expect(room.found).toEqual([])
  })
  it('STEP-OUT-2 closes at the next reading when the others are gone', () => {
    const floor = { kind: 'room', id: 'floor' } as const
    const sensors = (['floor/a', 'floor/b'] as const).map(
      (id) => ({ id, quantity: 'humidity', subject: floor }) as const,
    )
    const before = contextOf(floor, shopWith(sensors))
    const after = contextOf(floor, shopWith(sensors.slice(0, 1)))
    const room = watch(before, trusted(noting))
    for (let atMs = 0; atMs < DAY; atMs += MINUTE) {
      room.read('floor/a', atMs, flicker(atMs))
      room.read('floor/b', atMs, flicker(atMs) + 12)
    }
    expect(room.found.map((f) => f.sensorId)).toEqual(['floor/b', 'floor/a'])
    const act = { actorId: 'mira', via: 'screen', atMs: DAY } as const
    const order = {
      type: 'settings',
      seq: 9,
      atMs: DAY,
      receivedMs: DAY,
      act,
      settings: after.settings,
    } as const
    room.order(order, after)
    room.read('floor/a', DAY + MINUTE, 45)
    expect(room.found.slice(2).map((f) => [f.sensorId, f.finding])).toMatchObject([
      ['floor/a', { type: 'closed', toMs: DAY + MINUTE, closedMs: DAY + MINUTE }],
    ])
  })
})
