import { describe, expect, it } from 'vitest'
import { createSimulatedShop, type SimulatedShop } from '../../../../sensors/simulator/create-shop.ts'
import type { Incident } from '../../../../sensors/simulator/incident.ts'
import { demoPlan } from '../../../../sensors/simulator/shop-plan.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
/** A Monday, midnight UTC; the demo's shop opens at 07:30 UTC. */
const START = Date.parse('2026-01-12T00:00:00Z')
const plan = demoPlan()
const calm: Incident = {
  kind: 'calm',
  subjectId: 'quayside',
  fromMs: START - 9 * DAY,
  toMs: START + 20 * DAY,
}

type Told = Omit<Incident, 'fromMs' | 'toMs'> & { readonly fromH: number; readonly toH: number }

function shopWith(...told: readonly Told[]): SimulatedShop {
  const incidents = told.map(({ fromH, toH, ...rest }) => {
    return { ...rest, fromMs: START + fromH * HOUR, toMs: START + toH * HOUR }
  })
  return createSimulatedShop({ seed: 11, plan, startMs: START, incidents: [calm, ...incidents] })
}
function liveTo(shop: SimulatedShop, hours: number): void {
  shop.advanceTo(START + hours * HOUR, { cadenceMs: MINUTE })
}
function valuesOf(shop: SimulatedShop, sensorId: string): { atH: number; value: number }[] {
  return shop
    .takeSamples()
    .flatMap(({ nodeId, samples }) =>
      samples
        .filter((s) => `${nodeId}/${s.channel}` === sensorId)
        .map((s) => ({ atH: (s.atMs - START) / HOUR, value: Number(s.value) })),
    )
}

describe('what befalls a machine', () => {
  it('MISHAP-1 a cut that is over before the next step is lived through: the machine starts anew', () => {
    const shop = shopWith({
      kind: 'powerCut',
      subjectId: 'roll-left',
      fromH: 2 + 10 / 3600,
      toH: 2 + 40 / 3600,
    })
    liveTo(shop, 2)
    expect(shop.look().machines.get('roll-left')?.state).not.toBe('starting')
    liveTo(shop, 2 + 1 / 60)
    expect(shop.look().machines.get('roll-left')?.state).toBe('starting')
  })

  it('MISHAP-2 a head left off its cap stays off while the power is gone, until the hand comes back', () => {
    const shop = shopWith(
      { kind: 'headLeftOff', subjectId: 'sheet-back', fromH: 10, toH: 14 },
      { kind: 'powerCut', subjectId: 'sheet-back', fromH: 11, toH: 16 },
    )
    const cappedAt = (hours: number): boolean | undefined => {
      liveTo(shop, hours)
      return shop.look().machines.get('sheet-back')?.capped
    }
    expect([cappedAt(10.5), cappedAt(12), cappedAt(15)]).toEqual([false, false, true])
  })

  it('MISHAP-3 without self-cleaning, or stopped on an error, it neither cleans nor prints, and draws what is told', () => {
    const shop = shopWith(
      { kind: 'cleaningOff', subjectId: 'roll-left', fromH: 0, toH: 30 },
      { kind: 'errorStop', subjectId: 'sheet-window', fromH: 0, toH: 30, value: 33 },
    )
    liveTo(shop, 29.9)
    const did = (kind: string, id: string): number =>
      shop.truth().filter((e) => e.kind === kind && e.subjectId === id).length
    expect(did('cleaning', 'roll-left')).toBe(0)
    expect(did('printing', 'roll-left')).toBeGreaterThan(0)
    expect(did('cleaning', 'sheet-window') + did('printing', 'sheet-window')).toBe(0)
    expect(did('cleaning', 'sheet-back')).toBeGreaterThan(0)
    expect(shop.look().machines.get('sheet-window')?.powerW).toBeCloseTo(33, -1)
    liveTo(shop, 31)
    expect(did('cleaning', 'roll-left')).toBe(1)
  })

  it('MISHAP-4 a blocked line keeps its waste from the bottle, low voltage draws less, idle prints nothing', () => {
    const shop = shopWith(
      { kind: 'lineBlocked', subjectId: 'sheet-window', fromH: 0, toH: 40 },
      { kind: 'brownout', subjectId: 'roll-left', fromH: 0, toH: 40, value: 0.5 },
      { kind: 'idle', subjectId: 'sheet-back', fromH: 0, toH: 40 },
    )
    const before = shop.look().bottles.get('window-waste')?.contentsKg ?? NaN
    liveTo(shop, 40)
    expect(shop.look().bottles.get('window-waste')?.contentsKg).toBeLessThanOrEqual(before)
    expect(valuesOf(shop, 'roll-bench/power').every((v) => v.value < 300)).toBe(true)
    expect(shop.truth().filter((e) => e.kind === 'printing' && e.subjectId === 'sheet-back')).toEqual([])
  })
})

describe('what befalls a room', () => {
  it('MISHAP-5 damp air, cold and warm take the room with them and let it go again', () => {
    const shop = shopWith(
      { kind: 'dampAir', subjectId: 'print-floor', fromH: 2, toH: 6, value: 72 },
      { kind: 'airHeldAt', subjectId: 'back-room', fromH: 2, toH: 8, value: 10 },
    )
    liveTo(shop, 6)
    expect(shop.look().rooms.get('print-floor')?.humidityPct).toBeGreaterThan(69)
    liveTo(shop, 8)
    expect(shop.look().rooms.get('back-room')?.temperatureC).toBeLessThan(11)
    liveTo(shop, 14)
    expect(shop.look().rooms.get('print-floor')?.humidityPct).toBeLessThan(60)
    expect(shop.look().rooms.get('back-room')?.temperatureC).toBeGreaterThan(18)
  })
})

describe('what befalls a bottle', () => {
  const kgAt = (shop: SimulatedShop, hours: number): number => {
    liveTo(shop, hours)
    return shop.look().bottles.get('back-waste')?.contentsKg ?? NaN
  }

  it('MISHAP-6 lifted it comes back as it was, emptied with sludge, replaced with nothing and another tare', () => {
    const shop = shopWith(
      { kind: 'bottleLifted', subjectId: 'back-waste', fromH: 1, toH: 1.2 },
      { kind: 'bottleReplaced', subjectId: 'back-waste', fromH: 2, toH: 2.1, value: 0.03 },
    )
    const before = kgAt(shop, 1)
    expect(kgAt(shop, 1.1)).toBeCloseTo(before, 2)
    expect(shop.look().bottles.get('back-waste')?.lifted).toBe(true)
    expect(kgAt(shop, 1.5)).toBeGreaterThan(before - 0.001)
    expect(kgAt(shop, 2.2)).toBeLessThan(0.001)
    const scale = valuesOf(shop, 'back-wall/bottle')
    expect(scale.find((v) => v.atH > 2.15)?.value).toBeCloseTo(0.131 + 0.03, 1)
  })

  it('MISHAP-7 a lump is there from one moment on, a leak takes what it takes, a hand leaves nothing behind', () => {
    const shop = shopWith(
      { kind: 'lump', subjectId: 'back-waste', fromH: 1.01, toH: 1.1, value: 0.04 },
      { kind: 'leak', subjectId: 'back-waste', fromH: 2, toH: 3, value: 100 },
      { kind: 'onScale', subjectId: 'back-waste', fromH: 4, toH: 4.1, value: 1.5 },
      { kind: 'idle', subjectId: 'sheet-back', fromH: 0, toH: 9 },
      { kind: 'cleaningOff', subjectId: 'sheet-back', fromH: 0, toH: 9 },
    )
    const before = kgAt(shop, 1)
    expect(kgAt(shop, 1.5) - before).toBeCloseTo(0.04, 3)
    expect(kgAt(shop, 3.5) - before).toBeCloseTo(0.04 - 0.1, 2)
    liveTo(shop, 5)
    const scale = valuesOf(shop, 'back-wall/bottle')
    const at = (hours: number): number => scale.find((v) => v.atH >= hours)?.value ?? NaN
    expect(at(4.02) - at(3.9)).toBeCloseTo(1.5, 2)
    expect(at(4.2)).toBeCloseTo(at(3.9), 2)
  })
})

describe('how sensors die', () => {
  const dying = (kind: Incident['kind'], value?: number): readonly { atH: number; value: number }[] => {
    const told = {
      kind,
      subjectId: 'floor-air/humidity',
      fromH: 2,
      toH: 26,
      ...(value === undefined ? {} : { value }),
    }
    const shop = shopWith(told)
    liveTo(shop, 30)
    return valuesOf(shop, 'floor-air/humidity')
  }
  const within = (all: readonly { atH: number; value: number }[]): number[] =>
    all.filter((v) => v.atH >= 2 && v.atH < 26).map((v) => v.value)

  it('MISHAP-8 silent: nothing comes; at the rail: always the same; both come back', () => {
    expect(within(dying('sensorSilent'))).toEqual([])
    const rail = dying('sensorAtRail', 0)
    expect(new Set(within(rail))).toEqual(new Set([0]))
    expect(rail.at(-1)?.value).toBeGreaterThan(40)
  })

  it('MISHAP-9 running away: by so much a day; garbage: now and then, far off', () => {
    const drift = within(dying('sensorDrifts', 20))
    expect((drift.at(-1) ?? 0) - (drift[0] ?? 0)).toBeGreaterThan(14)
    const spikes = within(dying('sensorSpikes', 0.2))
    const far = spikes.filter((v) => Math.abs(v - 50) > 12).length
    expect(far / spikes.length).toBeGreaterThan(0.1)
    expect(far / spikes.length).toBeLessThan(0.25)
  })
})
