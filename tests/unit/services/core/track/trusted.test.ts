import { describe, expect, it } from 'vitest'
import type { Order } from '../../../../../services/core/model/input.ts'
import { roomTracker, keepAirBound } from '../../../../../services/core/track/room.ts'
import type { SubjectContext, Tracker } from '../../../../../services/core/track/tracker.ts'
import { isDistrusted, trusted } from '../../../../../services/core/track/trusted.ts'
import {
  contextOf,
  HOUR,
  MINUTE,
  noting,
  shopWith,
  watch,
  watchRoom,
  type HeardFacts,
  type SensorOf,
} from './watched-room.ts'

const FLOOR = { kind: 'room', id: 'floor' } as const
const MACHINE = { kind: 'machine', id: 'roll-left' } as const
const humidity = (id: string): SensorOf => ({ id, quantity: 'humidity', subject: FLOOR, intervalMs: MINUTE })
const flicker = (atMs: number): number => 45 + ((Math.floor(atMs / MINUTE) * 7) % 10) / 100
/** Settings changed; what they say reaches a subject through its context alone. */
const settingsAt = (atMs: number, { settings }: SubjectContext): Order => ({
  type: 'settings',
  seq: 1,
  atMs,
  receivedMs: atMs,
  act: { actorId: 'mira', via: 'screen', atMs },
  settings,
})

describe('trusted', () => {
  it('TRUSTED-1 readings of a sensor that is not believed do not reach the inner tracker, and do again when it is', () => {
    const room = watchRoom()
    let atMs = 0
    for (; atMs < HOUR; atMs += MINUTE) room.read('floor/a', atMs, flicker(atMs))
    for (; atMs < 10 * HOUR; atMs += MINUTE) room.read('floor/a', atMs, 50)
    expect(isDistrusted(room.facts(), 'floor/a')).toBe(true)
    // 60 that flickered, and 8 h of equal ones up to, but without, the one that proved it.
    expect(room.facts().heard['floor/a']).toHaveLength(60 + 480)
    expect(room.facts().atMs).toBe(atMs - MINUTE)
    room.read('floor/a', atMs, 51)
    room.read('floor/a', atMs + MINUTE, 52)
    room.read('floor/a', atMs + 2 * MINUTE, 53)
    expect(isDistrusted(room.facts(), 'floor/a')).toBe(false)
    expect(room.facts().heard['floor/a']?.slice(540)).toEqual([52, 53])
  })
  it('TRUSTED-1 a value outside the range is left out though its sensor is still believed', () => {
    const room = watchRoom()
    for (const [i, value] of [45, 0, 45.1].entries()) room.read('floor/a', i * MINUTE, value)
    expect(room.facts().heard['floor/a']).toEqual([45, 45.1])
    expect(room.found).toEqual([])
  })
  it('TRUSTED-1 a meter at 0 W and a contact are passed on for ever and cost no state', () => {
    const meters = ['power', 'powered', 'voltage', 'current'] as const
    const settings = shopWith(meters.map((quantity) => ({ id: `m/${quantity}`, quantity, subject: MACHINE })))
    const machine = watch(contextOf(MACHINE, settings), trusted(noting))
    for (let i = 0; i < 30 * 24 * 6; i++) for (const q of meters) machine.read(`m/${q}`, i * 10 * MINUTE, 0)
    expect(machine.facts().heard['m/power']).toHaveLength(30 * 24 * 6)
    expect(machine.facts().trust).toEqual({})
    expect(machine.found).toEqual([])
  })
  it('TRUSTED-2 the inner context holds no sensor that is not believed', () => {
    const seen: number[] = []
    const looking: Tracker<HeardFacts> = {
      ...noting,
      onReading: (facts, reading, context) => {
        noting.onReading(facts, reading, context)
        seen.push(context.sensors.size)
      },
    }
    const settings = shopWith([humidity('floor/a'), humidity('floor/b')])
    const room = watch(contextOf(FLOOR, settings), trusted(looking))
    for (let atMs = 0; atMs < 10 * HOUR; atMs += MINUTE) {
      room.read('floor/a', atMs, flicker(atMs))
      room.read('floor/b', atMs, atMs < HOUR ? flicker(atMs) : 45.5)
    }
    expect(seen[0]).toBe(2)
    expect(seen.at(-1)).toBe(1)
  })
  it('TRUSTED-3 a room whose only sensor is stuck has no known humidity; with a second one, it has that of the second', () => {
    for (const [ids, expected] of [
      [['floor/a'], null],
      [['floor/a', 'floor/b'], 44],
    ] as const) {
      const room = watch(contextOf(FLOOR, shopWith(ids.map(humidity))), trusted(roomTracker, keepAirBound))
      for (let atMs = 0; atMs <= 9 * HOUR; atMs += MINUTE) {
        room.read('floor/a', atMs, atMs < HOUR ? flicker(atMs) : 46)
        if (ids.length > 1) room.read('floor/b', atMs, flicker(atMs) - 1)
      }
      const { humidityPct } = room.facts()
      expect(humidityPct === null ? null : Math.floor(humidityPct)).toBe(expected)
    }
  })
  it('TRUSTED-4 a sensor that is no longer heard is forgotten, and what was open of it closes with its part', () => {
    const both = contextOf(FLOOR, shopWith([humidity('floor/a'), humidity('floor/b')]))
    const one = contextOf(FLOOR, shopWith([humidity('floor/b')]))
    const room = watch(both, trusted(noting))
    room.read('floor/a', 0, 45)
    room.read('floor/b', 0, 45)
    expect(Object.keys(room.facts().trust)).toEqual(['floor/a', 'floor/b'])
    room.order(settingsAt(MINUTE, one), one)
    expect(Object.keys(room.facts().trust)).toEqual(['floor/b'])
  })
  it('TRUSTED-4 a sensor that measures something else from now on begins anew, and its condition ends with the order', () => {
    const before = contextOf(FLOOR, shopWith([humidity('floor/a')]))
    const after = contextOf(FLOOR, shopWith([{ ...humidity('floor/a'), quantity: 'temperature' }]))
    const room = watch(before, trusted(noting))
    for (let i = 0; i < 10; i++) room.read('floor/a', i * MINUTE, 0)
    room.order(settingsAt(HOUR, after), after)
    expect(room.found.map(({ condition, finding }) => [condition, finding.type])).toEqual([
      ['sensorImplausible', 'opened'],
      ['sensorImplausible', 'closed'],
    ])
    expect(room.found[1]?.finding).toMatchObject({ toMs: HOUR, closedMs: HOUR })
    room.read('floor/a', HOUR + MINUTE, 0)
    expect(room.facts().heard['floor/a']).toEqual([0])
  })
  it('a machine leaves out the same sensors as its room, and judges none of them itself', () => {
    const settings = shopWith([humidity('floor/a'), humidity('floor/b'), humidity('floor/c')])
    const room = watch(contextOf(FLOOR, settings), trusted(noting))
    const machine = watch(contextOf(MACHINE, settings, [FLOOR, MACHINE]), trusted(noting))
    for (let atMs = 0; atMs < 24 * HOUR; atMs += MINUTE) {
      for (const [i, id] of ['floor/a', 'floor/b', 'floor/c'].entries()) {
        const value = i === 2 && atMs > 2 * HOUR ? flicker(atMs) + 18 : flicker(atMs)
        room.read(id, atMs + i, value)
        machine.read(id, atMs + i, value)
      }
    }
    expect(machine.facts().heard).toEqual(room.facts().heard)
    expect(machine.facts().trust).toEqual(room.facts().trust)
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([['sensorOutOfStep', 'floor/c']])
    expect(machine.found).toEqual([])
  })
  it('sensors of another room, or of another quantity, are no neighbours', () => {
    const store = { ...humidity('store/a'), subject: { kind: 'room', id: 'store' } as const }
    const warm = { ...humidity('floor/t'), quantity: 'temperature' as const }
    const settings = shopWith([humidity('floor/a'), store, warm])
    const rooms = [FLOOR, store.subject].map((r) =>
      watch(contextOf(MACHINE, settings, [FLOOR, r]), trusted(noting)),
    )
    for (let atMs = 0; atMs < 48 * HOUR; atMs += MINUTE) {
      for (const room of rooms) {
        room.read('floor/a', atMs, flicker(atMs))
        room.read('floor/t', atMs, flicker(atMs) - 25)
      }
      rooms[1]?.read('store/a', atMs, flicker(atMs) + 30)
    }
    for (const room of rooms)
      for (const t of Object.values(room.facts().trust)) expect(t.outOfStep).toBeNull()
  })
})
