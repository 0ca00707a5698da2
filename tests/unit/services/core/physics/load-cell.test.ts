import { describe, expect, it } from 'vitest'
import { contentsG, fillPct, wasteVolumeMl } from '../../../../../services/core/physics/bottle-volume.ts'
import {
  creepG,
  scaleErrorG,
  usualCellKg,
  zeroDriftG,
} from '../../../../../services/core/physics/load-cell.ts'

const BOTTLE = { tareKg: 0.2, densityKgPerL: 1.05, capacityMl: 3000 }

describe('load cell', () => {
  it('a 5 kg cell of class C3 creeps by 1.225 g in 30 min (OIML R 60-1:2021, 5.5.1)', () => {
    expect(creepG(5)).toBeCloseTo(1.225, 12)
  })
  it('its zero drifts by 0.35 g in 5 degC, warmer or colder (OIML R 60-1:2021, 5.6.1.3, Y = 10000)', () => {
    expect(zeroDriftG(5, 5)).toBeCloseTo(0.35, 12)
    expect(zeroDriftG(5, -5)).toBeCloseTo(0.35, 12)
  })
  it('a bottle of 3 L probably stands on a cell of 5 kg, which may be 2.3 g off', () => {
    expect(usualCellKg(BOTTLE)).toBeCloseTo(5.025, 9)
    expect(scaleErrorG(BOTTLE)).toBeCloseTo(5.025 * (0.245 + 0.21), 9)
  })
  it('a scale that was zeroed with the bottle on it carries the same load', () => {
    expect(usualCellKg({ ...BOTTLE, tareKg: -0.2 })).toBeCloseTo(4.725, 9)
  })
})

describe('bottle volume', () => {
  it('grams, millilitres and percent from what the scale reads', () => {
    expect(contentsG(1.25, BOTTLE)).toBeCloseTo(1050, 9)
    expect(wasteVolumeMl(1.25, BOTTLE)).toBeCloseTo(1000, 9)
    expect(fillPct(1.25, BOTTLE)).toBeCloseTo(100 / 3, 9)
  })
  it('a scale below the tare reads less than nothing, one above the capacity more than 100 %', () => {
    expect(wasteVolumeMl(0.095, BOTTLE)).toBeCloseTo(-100, 9)
    expect(fillPct(0.2 + 3.3, BOTTLE)).toBeGreaterThan(100)
  })
})
