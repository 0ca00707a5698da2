import { describe, expect, it } from 'vitest'
import { createBottle } from '../../../../sensors/simulator/bottle.ts'
import { createChance } from '../../../../sensors/simulator/chance.ts'
import { createIncidents, type Incident } from '../../../../sensors/simulator/incident.ts'
import { createLoadCell } from '../../../../sensors/simulator/load-cell.ts'
import { demoPlan } from '../../../../sensors/simulator/shop-plan.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const START = Date.parse('2026-11-23T00:00:00Z')
const plan = demoPlan().bottles[0]
if (!plan) throw new Error('the demo shop has a bottle')

function fill(told: readonly Incident[], mlPerH: number, hours: number, open = true) {
  const incidents = createIncidents({ told, drawDay: () => [], startMs: START })
  const bottle = createBottle(plan ?? never(), createChance(11), incidents)
  const seen: { kg: number; pct: number; lifted: boolean }[] = []
  for (let fromMs = START; fromMs < START + hours * HOUR; fromMs += MINUTE) {
    const around = { wasteMl: mlPerH / 60, open, vapourPressureDeficitKpa: 1.2 }
    bottle.step({ fromMs, toMs: fromMs + MINUTE }, around)
    seen.push({ kg: bottle.contentsKg(), pct: bottle.fillPct(), lifted: bottle.lifted() })
  }
  return { bottle, seen }
}
function never(): never {
  throw new Error('no bottle')
}

describe('a simulated waste bottle', () => {
  it('BOTTLE-1 never falls but by evaporation and by a hand', () => {
    const { seen } = fill([], 60, 24 * 14)
    let emptied = 0
    seen.slice(1).forEach(({ kg, lifted }, at) => {
      const before = seen[at]
      if (!before || kg >= before.kg) return
      if (before.lifted && !lifted) emptied++
      else expect(before.kg - kg).toBeLessThan(1e-5)
    })
    expect(emptied).toBeGreaterThan(3)
  })

  it('BOTTLE-2 is emptied while the shop is open, from 80 % on, mostly in time and sometimes late', () => {
    const { seen } = fill([], 60, 24 * 90)
    const tops = seen.flatMap(({ lifted, pct }, at) => (lifted && !seen[at - 1]?.lifted ? [pct] : []))
    expect(tops.length).toBeGreaterThan(25)
    expect(Math.min(...tops)).toBeGreaterThan(80)
    expect(tops.filter((pct) => pct <= 91).length / tops.length).toBeGreaterThan(0.6)
    expect(tops.filter((pct) => pct > 91).length).toBeGreaterThan(0)
    expect(Math.max(...tops)).toBeLessThan(104)
  })

  it('BOTTLE-3 left alone, an overfull bottle runs over at 108 % and no further', () => {
    const left: Incident = {
      kind: 'bottleLeft',
      subjectId: plan.id,
      fromMs: START,
      toMs: START + 1000 * HOUR,
    }
    const { bottle } = fill([left], 60, 24 * 5)
    expect(bottle.fillPct()).toBeCloseTo(108, 1)
  })

  it('BOTTLE-4 loses about 4 g a day to the air when nothing flows in, well below what would count as losing weight', () => {
    const { bottle } = fill([], 0, 24, false)
    expect(bottle.evaporatedKg()).toBeGreaterThan(0.002)
    expect(bottle.evaporatedKg()).toBeLessThan(0.006)
  })

  it('BOTTLE-5 emptied as told: lifted from and to, then only sludge is left', () => {
    const told: Incident = {
      kind: 'bottleEmptied',
      subjectId: plan.id,
      fromMs: START + HOUR,
      toMs: START + HOUR + 6 * MINUTE,
    }
    const { seen } = fill([told], 0, 2)
    expect(seen.filter((s) => s.lifted).length).toBe(6)
    expect(seen.at(-1)?.pct).toBeLessThan(3)
  })
})

describe('a simulated load cell', () => {
  const still = { massKg: 2, temperatureC: 21, printing: false, open: false }

  it('CELL-1 creeps no more than a class C3 cell may: 0.0245 % of capacity in 30 min, 0.00525 % of it in the last ten', () => {
    // OIML R 60-1:2021, 5.5.1, n = 3000. Each value is a mean over noise, told at one instant apart.
    const cell = createLoadCell(plan, createChance(1))
    const meanAt = (fromMs: number, massKg: number): number => {
      let sum = 0
      for (let n = 0; n < 200; n++) sum += cell.readKg({ ...still, massKg, atMs: fromMs + n })
      return sum / 200
    }
    meanAt(START, 0)
    const at0 = meanAt(START + 1000, 4.5)
    for (let m = 1; m < 20; m++) meanAt(START + m * MINUTE, 4.5)
    const at20 = meanAt(START + 20 * MINUTE, 4.5)
    const at30 = meanAt(START + 30 * MINUTE, 4.5)
    expect(at30 - at0).toBeGreaterThan(0.0005)
    expect(at30 - at0).toBeLessThan(0.000245 * plan.cellKg)
    expect(at30 - at20).toBeLessThan(0.0000525 * plan.cellKg)
  })

  it('CELL-2 drifts with temperature about as such a cell may: under 3 g over 10 K at 2 kg', () => {
    const cell = createLoadCell(plan, createChance(1))
    const cool = cell.readKg({ ...still, atMs: START })
    const warm = cell.readKg({ ...still, temperatureC: 31, atMs: START + 1 })
    expect(warm - cool).toBeGreaterThan(0.0005)
    expect(warm - cool).toBeLessThan(0.003)
  })

  it('CELL-3 is bumped by hands only while the shop is open', () => {
    const reads = (open: boolean): number[] => {
      const cell = createLoadCell(plan, createChance(4))
      return Array.from({ length: 40_000 }, (_, n) =>
        cell.readKg({ ...still, open, atMs: START + n * 10_000 }),
      )
    }
    const off = (values: readonly number[]): number => values.filter((kg) => Math.abs(kg - 2) > 0.05).length
    expect(off(reads(false))).toBe(0)
    expect(off(reads(true))).toBeGreaterThan(5)
  })
})
