import { describe, expect, it } from 'vitest'
import { createSimulatedShop, type SimulatedShop } from '../../../../sensors/simulator/create-shop.ts'
import { demoNodes, demoPlan } from '../../../../sensors/simulator/shop-plan.ts'
import { UNIT_OF_QUANTITY, POSSIBLE_RANGE } from '../../../../services/core/model/quantity.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const START = Date.parse('2026-01-12T00:00:00Z')
const plan = demoPlan()
const shopOf = (seed: number, incidents = {}): SimulatedShop =>
  createSimulatedShop({ seed, plan, startMs: START, ...incidents })

interface Told {
  readonly sensorId: string
  readonly atMs: number
  readonly value: number
}
function samplesOf(shop: SimulatedShop): Told[] {
  return shop.takeSamples().flatMap(({ nodeId, samples }) =>
    samples.map(({ channel, atMs, value }) => ({
      sensorId: `${nodeId}/${channel}`,
      atMs,
      value: Number(value),
    })),
  )
}
function daysOf(shop: SimulatedShop, days: number): Told[] {
  shop.advanceTo(START + days * DAY, { cadenceMs: 2 * MINUTE })
  return samplesOf(shop)
}

describe('the demo plan', () => {
  it('PLAN-1 binds every simulated sensor, of a node that the settings name, to a subject that exists', () => {
    const { settings, sensors } = plan
    expect(settings.sensors.map((s) => [s.id, s.quantity, s.subject.id])).toEqual(
      sensors.map((s) => [s.id, s.quantity, s.subjectId]),
    )
    expect(new Set(settings.nodes.map((n) => n.id))).toEqual(new Set(sensors.map((s) => s.nodeId)))
    expect(settings.nodes).toEqual(demoNodes)
    expect(plan.machines.map((m) => m.id)).toEqual(settings.machines.map((m) => m.id))
    expect(plan.rooms.map((r) => r.id)).toEqual(settings.rooms.map((r) => r.id))
    for (const machine of plan.machines) {
      expect(settings.bottles.find((b) => b.id === machine.bottleId)?.machines).toEqual([machine.id])
      expect(settings.machines.find((m) => m.id === machine.id)?.room).toBe(machine.roomId)
    }
  })
})

describe('a simulated shop', () => {
  it('SHOP-1 the same seed gives the same shop to the last digit, another seed another', () => {
    const one = shopOf(1)
    const again = shopOf(1)
    const told = daysOf(one, 4)
    expect(daysOf(again, 4)).toEqual(told)
    expect(again.truth()).toEqual(one.truth())
    expect(daysOf(shopOf(2), 4)).not.toEqual(told)
  })

  it('SHOP-2 many strides give what one stride gives', () => {
    const told = daysOf(shopOf(3), 1)
    const shop = shopOf(3)
    const pieces: Told[] = []
    for (let atMs = START; atMs < START + DAY; atMs += 7 * MINUTE + 13) {
      shop.advanceTo(atMs, { cadenceMs: 2 * MINUTE })
      pieces.push(...samplesOf(shop))
    }
    shop.advanceTo(START + DAY, { cadenceMs: 2 * MINUTE })
    pieces.push(...samplesOf(shop))
    const order = (a: Told, b: Told): number => a.atMs - b.atMs || a.sensorId.localeCompare(b.sensorId)
    expect(pieces.sort(order)).toEqual(told.sort(order))
  })

  it('SHOP-3 a finer cadence tells the same story: humidity within 4 %RH, waste within 3 g, after two days', () => {
    const coarse = shopOf(4)
    const fine = shopOf(4)
    coarse.advanceTo(START + 2 * DAY, { cadenceMs: 2 * MINUTE })
    fine.advanceTo(START + 2 * DAY, { cadenceMs: 20_000 })
    for (const { id } of plan.rooms) {
      const pct = (shop: SimulatedShop): number => shop.look().rooms.get(id)?.humidityPct ?? NaN
      // Both swing in their humidistat's band of 3.2 %RH and a little beyond, not in step.
      expect(Math.abs(pct(coarse) - pct(fine))).toBeLessThan(4)
    }
    for (const { id } of plan.bottles) {
      const kg = (shop: SimulatedShop): number => shop.look().bottles.get(id)?.contentsKg ?? NaN
      expect(Math.abs(kg(coarse) - kg(fine))).toBeLessThan(0.003)
    }
  })

  it('SHOP-4 every sample is one that a monitor takes: bound, in range, in order, on the cadence', () => {
    const told = daysOf(shopOf(5), 10)
    expect(told.length).toBeGreaterThan(60_000)
    const lastOf = new Map<string, number>()
    const wrong = told.filter(({ sensorId, atMs, value }) => {
      const binding = plan.settings.sensors.find((s) => s.id === sensorId)
      const [least, most] = POSSIBLE_RANGE[binding?.quantity ?? 'powered']
      const inOrder = atMs > (lastOf.get(sensorId) ?? 0)
      lastOf.set(sensorId, atMs)
      const negativePower = binding?.quantity === 'power' && value < 0
      return (
        !binding ||
        !inOrder ||
        atMs % (2 * MINUTE) !== 0 ||
        !(value >= least && value <= most) ||
        negativePower
      )
    })
    expect(wrong).toEqual([])
    expect(new Set(told.map((t) => t.sensorId))).toEqual(new Set(plan.sensors.map((s) => s.id)))
    expect(Object.keys(UNIT_OF_QUANTITY)).toEqual(expect.arrayContaining(plan.sensors.map((s) => s.quantity)))
  })

  it('SHOP-5 what sensors say is what was true, within their errors, unless stuck', () => {
    const shop = shopOf(6)
    let compared = 0
    for (let atMs = START; atMs < START + 3 * DAY; atMs += 2 * MINUTE) {
      shop.advanceTo(atMs, { cadenceMs: 2 * MINUTE })
      const now = shop.look()
      for (const { sensorId, value } of samplesOf(shop)) {
        const sensor = plan.sensors.find((s) => s.id === sensorId)
        const room = now.rooms.get(sensor?.subjectId ?? '')
        const machine = now.machines.get(sensor?.subjectId ?? '')
        const stuck = shop
          .truth()
          .some((e) => e.kind === 'sensorStuck' && e.subjectId === sensorId && e.toMs === null)
        if (stuck) continue
        compared++
        if (sensor?.quantity === 'humidity')
          expect(Math.abs(value - (room?.humidityPct ?? NaN))).toBeLessThan(1.2)
        if (sensor?.quantity === 'temperature')
          expect(Math.abs(value - (room?.temperatureC ?? NaN))).toBeLessThan(0.3)
        if (sensor?.quantity === 'power')
          expect(Math.abs(value - (machine?.powerW ?? NaN))).toBeLessThan(0.06)
        if (sensor?.quantity === 'powered') expect(value === 1).toBe(machine?.state !== 'off')
      }
    }
    expect(compared).toBeGreaterThan(20_000)
  })

  it('SHOP-6 truth and samples agree: off while off was true, below 40 while the room was dry', () => {
    const incidents = [
      { kind: 'powerCut' as const, subjectId: 'roll-left', fromMs: START + 5 * HOUR, toMs: START + 7 * HOUR },
      {
        kind: 'dryAir' as const,
        subjectId: 'print-floor',
        fromMs: START + 10 * HOUR,
        toMs: START + 13 * HOUR,
        value: 31,
      },
      {
        kind: 'nodeDark' as const,
        subjectId: 'window-bench',
        fromMs: START + 3 * HOUR,
        toMs: START + 4 * HOUR,
      },
      {
        kind: 'sensorStuck' as const,
        subjectId: 'back-air/humidity',
        fromMs: START + 3 * HOUR,
        toMs: START + 8 * HOUR,
      },
      {
        kind: 'mainsFailure' as const,
        subjectId: 'quayside',
        fromMs: START + 20 * HOUR,
        toMs: START + 21 * HOUR,
      },
      { kind: 'calm' as const, subjectId: 'quayside', fromMs: START - DAY, toMs: START + 2 * DAY },
    ]
    const shop = shopOf(7, { incidents })
    const told = daysOf(shop, 1)
    const of = (sensorId: string, fromH: number, toH: number): number[] =>
      told
        .filter(
          (t) => t.sensorId === sensorId && t.atMs > START + fromH * HOUR && t.atMs < START + toH * HOUR,
        )
        .map((t) => t.value)
    const event = (kind: string, subjectId: string) =>
      shop.truth().find((e) => e.kind === kind && e.subjectId === subjectId)

    expect(event('machineOff', 'roll-left')).toMatchObject({
      fromMs: START + 5 * HOUR,
      toMs: START + 7 * HOUR,
    })
    expect(Math.max(...of('roll-bench/power', 5, 7))).toBeLessThan(1)
    expect(Math.min(...of('roll-bench/power', 7.1, 20))).toBeGreaterThan(10)

    const dry = event('roomDry', 'print-floor')
    expect(dry?.fromMs).toBeGreaterThan(START + 10 * HOUR)
    expect(dry?.fromMs).toBeLessThan(START + 10.3 * HOUR)
    const dryFromH = ((dry?.fromMs ?? 0) - START) / HOUR
    expect(Math.max(...of('floor-air/humidity', dryFromH, 13))).toBeLessThan(41.2)

    expect(of('window-bench/power', 3, 4)).toEqual([])
    expect(event('nodeDark', 'window-bench')).toMatchObject({
      fromMs: START + 3 * HOUR,
      toMs: START + 4 * HOUR,
    })
    expect(new Set(of('back-air/humidity', 3.1, 8)).size).toBe(1)
    expect(new Set(of('back-air/temperature', 3.1, 8)).size).toBeGreaterThan(5)
    expect(told.filter((t) => t.atMs > START + 20 * HOUR && t.atMs < START + 21 * HOUR)).toEqual([])
  })

  it('SHOP-7 hands act: a bottle emptied, power cut and restored, a humidifier refilled', () => {
    const calm = { kind: 'calm' as const, subjectId: 'quayside', fromMs: START - DAY, toMs: START + 2 * DAY }
    const dry = {
      kind: 'dryAir' as const,
      subjectId: 'back-room',
      fromMs: START,
      toMs: START + DAY,
      value: 30,
    }
    const shop = shopOf(8, { incidents: [calm, dry] })
    const later = (minutes: number): void => shop.advanceTo(shop.look().atMs + minutes * MINUTE)
    later(60)
    expect(shop.look().rooms.get('back-room')?.humidityPct).toBeLessThan(33)
    shop.act({ kind: 'emptyBottle', bottleId: 'roll-waste' })
    shop.act({ kind: 'cutPower', machineId: 'sheet-window' })
    shop.act({ kind: 'refillHumidifier', roomId: 'back-room' })
    later(1)
    expect(shop.look().bottles.get('roll-waste')?.lifted).toBe(true)
    expect(shop.look().machines.get('sheet-window')?.state).toBe('off')
    later(9)
    expect(shop.look().bottles.get('roll-waste')?.fillPct).toBeLessThan(3)
    shop.act({ kind: 'restorePower', machineId: 'sheet-window' })
    later(120)
    expect(shop.look().machines.get('sheet-window')?.state).not.toBe('off')
    expect(shop.look().rooms.get('back-room')?.humidityPct).toBeGreaterThan(42)
  })

  it('SHOP-8 waste adds up: what machines purged is in the bottles, but for what evaporated', () => {
    const calm = { kind: 'calm' as const, subjectId: 'quayside', fromMs: START - DAY, toMs: START + 9 * DAY }
    const left = plan.bottles.map((b) => ({
      kind: 'bottleLeft' as const,
      subjectId: b.id,
      fromMs: START,
      toMs: START + 9 * DAY,
    }))
    const level = plan.bottles.map((b) => ({
      kind: 'bottleLevel' as const,
      subjectId: b.id,
      fromMs: START + MINUTE,
      toMs: START + HOUR,
      value: 10,
    }))
    const shop = shopOf(9, { incidents: [calm, ...left, ...level] })
    shop.advanceTo(START + 2 * HOUR)
    const before = new Map([...shop.look().bottles].map(([id, b]) => [id, b.contentsKg + b.evaporatedKg]))
    const cleaningsBefore = shop.truth().filter((e) => e.kind === 'cleaning' && e.toMs !== null).length
    shop.advanceTo(START + 8 * HOUR - 31 * MINUTE)
    // Before opening nothing prints, so the gain is cleanings alone.
    const cleanings = shop.truth().filter((e) => e.kind === 'cleaning' && e.toMs !== null)
    let wanted = 0
    for (const e of cleanings.slice(cleaningsBefore))
      wanted += (plan.machines.find((m) => m.id === e.subjectId)?.cleaningMl ?? NaN) * 1.05e-3
    let gained = 0
    for (const [id, b] of shop.look().bottles)
      gained += b.contentsKg + b.evaporatedKg - (before.get(id) ?? NaN)
    expect(cleanings.length - cleaningsBefore).toBeGreaterThan(1)
    expect(gained).toBeCloseTo(wanted, 6)
  })

  it.each([999, 120_001, NaN])('SHOP-9 a cadence of %d ms is refused', (cadenceMs) => {
    expect(() => shopOf(1).advanceTo(START + DAY, { cadenceMs })).toThrow(
      'cadenceMs must be 1000 to 120000 ms',
    )
  })

  it('SHOP-10 sixty days hold dry spells, outages, dark nodes and emptied bottles, not too many', () => {
    const shop = shopOf(10)
    shop.advanceTo(START + 60 * DAY, { cadenceMs: 2 * MINUTE })
    const count = (kind: string): number => shop.truth().filter((e) => e.kind === kind).length
    expect(count('roomDry')).toBeGreaterThan(1)
    expect(count('roomDry')).toBeLessThan(40)
    expect(count('machineOff')).toBeGreaterThan(1)
    expect(count('machineOff')).toBeLessThan(40)
    expect(count('nodeDark')).toBeGreaterThan(1)
    expect(count('bottleLifted')).toBeGreaterThan(3)
    expect(count('printing')).toBeGreaterThan(300)
  })
})
