import { describe, expect, it } from 'vitest'
import { createChance } from '../../../../sensors/simulator/chance.ts'
import {
  createHeadDryness,
  missingNozzles,
  stepHeadDryness,
} from '../../../../sensors/simulator/head-drying.ts'
import { createWeather } from '../../../../sensors/simulator/weather.ts'

const HOUR = 3_600_000
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length
const hoursFrom = (text: string, count: number): number[] =>
  Array.from({ length: count }, (_, n) => Date.parse(text) + n * HOUR)

describe('simulated weather', () => {
  it('WEATHER-1 is the same for seed and instant, in whatever order it is asked', () => {
    const instants = hoursFrom('2026-02-01T00:00:00Z', 500)
    const one = createWeather(createChance(9))
    const other = createWeather(createChance(9))
    const asked = instants.map(one.at)
    expect([...instants].reverse().map(other.at).reverse()).toEqual(asked)
  })

  it('WEATHER-2 has winters, summers, nights and fronts of a mild coast, and humidity from 5 to 99 %', () => {
    const { at } = createWeather(createChance(9))
    const january = hoursFrom('2026-01-01T00:00:00Z', 744).map(at)
    const july = hoursFrom('2026-07-01T00:00:00Z', 744).map(at)
    expect(mean(january.map((a) => a.temperatureC))).toBeGreaterThan(-3)
    expect(mean(january.map((a) => a.temperatureC))).toBeLessThan(9)
    expect(mean(july.map((a) => a.temperatureC))).toBeGreaterThan(14)
    expect(mean(july.map((a) => a.temperatureC))).toBeLessThan(23)
    const all = [...january, ...july].map((a) => a.humidityPct)
    expect(Math.min(...all)).toBeGreaterThan(5)
    expect(Math.max(...all)).toBeLessThanOrEqual(99)
    expect(
      at(Date.parse('2026-07-10T14:30:00Z')).temperatureC -
        at(Date.parse('2026-07-10T03:00:00Z')).temperatureC,
    ).toBeGreaterThan(3)
  })
})

describe('simulated heads', () => {
  const air = { vapourPressureDeficitKpa: 1.3, printingShare: 0, cleaned: false }
  const idle = (hours: number, capped: boolean) => {
    const head = createHeadDryness()
    for (let n = 0; n < hours * 30; n++) stepHeadDryness(head, { ...air, hours: 1 / 30, capped })
    return head
  }

  it('HEAD-1 an uncapped head dries in hours, a capped one in days, and white before colour', () => {
    expect(missingNozzles(idle(4, false).white, 500)).toBeGreaterThan(0)
    expect(missingNozzles(idle(60, true).colour, 500)).toBe(0)
    expect(idle(60, true).white).toBeGreaterThan(idle(60, true).colour)
    expect(missingNozzles(idle(24 * 9, true).white, 500)).toBeGreaterThan(0)
  })

  it('HEAD-2 a cleaning wets the nozzles in part, printing altogether', () => {
    const cleaned = idle(3, false)
    const before = cleaned.colour
    stepHeadDryness(cleaned, { ...air, hours: 0.01, capped: true, cleaned: true })
    expect(cleaned.colour).toBeLessThan(before / 3)
    expect(cleaned.colour).toBeGreaterThan(0)
    const printed = idle(3, false)
    stepHeadDryness(printed, { ...air, hours: 0.5, capped: false, printingShare: 1 })
    expect(printed.colour).toBeLessThan(1e-6)
  })
})
