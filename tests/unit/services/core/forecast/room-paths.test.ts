import fc from 'fast-check'
import { expect, it } from 'vitest'
import { roomForecast, type RoomForecastQuestion } from '../../../../../services/core/forecast/room-paths.ts'
import { pastDays } from '../../../../parts/past-rooms.ts'

const at = (text: string) => Date.parse(text)
const AIR = { temperatureC: 22, humidityPct: 50 }

/** Monday evening after the remembered days of March, to Tuesday morning. */
function ask(question: Partial<RoomForecastQuestion>) {
  return roomForecast({
    nights: { days: pastDays(28, () => 50) },
    air: AIR,
    fromMs: at('2026-03-30T19:00Z'),
    toMs: at('2026-03-31T08:00Z'),
    timeZone: 'UTC',
    ...question,
  })
}
const lastOf = (values: readonly number[] | undefined) => values?.at(-1) ?? NaN
const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1] ?? NaN

/** Falls by 1 %RH an hour from 19:00 to 05:00 each night, back up by noon. */
const fallsAtNight = (_day: number, hour: number) => {
  const since = (hour + 24 - 19) % 24
  return 50 - (since <= 10 ? since : Math.max(0, 10 - (since - 10) * (10 / 7)))
}

it('ROOM-1 every path begins at the air now and runs on the grid to the opening', () => {
  const forecast = ask({ fromMs: at('2026-03-30T19:05Z'), toMs: at('2026-03-31T07:30Z') })

  expect(forecast.basis).toBe('paths')
  expect(forecast.atMs.slice(0, 2)).toEqual([at('2026-03-30T19:05Z'), at('2026-03-30T19:20Z')])
  expect(forecast.atMs.at(-1)).toBe(at('2026-03-31T07:30Z'))
  expect(forecast.paths).toHaveLength(forecast.days)
  for (const path of forecast.paths) {
    expect(path.humidityPct).toHaveLength(forecast.atMs.length)
    expect(path.temperatureC).toHaveLength(forecast.atMs.length)
    expect([path.humidityPct[0], path.temperatureC[0]]).toEqual([50, 22])
  }
})

it('a habit of every night is forecast on every path', () => {
  const forecast = ask({ nights: { days: pastDays(28, fallsAtNight) }, toMs: at('2026-03-31T05:00Z') })

  // The last date has no morning after it, so 27 nights are whole.
  expect(forecast.days).toBe(27)
  for (const path of forecast.paths) expect(lastOf(path.humidityPct)).toBeCloseTo(40, 9)
})

it('nights that differ give paths that differ, and their middle is the usual change', () => {
  const falls = (day: number, hour: number) => 50 - (day % 9) * (((hour + 24 - 19) % 24) / 13)
  const forecast = ask({ nights: { days: pastDays(28, falls) } })

  const ends = forecast.paths.map((p) => lastOf(p.humidityPct))
  expect(Math.max(...ends) - Math.min(...ends)).toBeGreaterThan(7)
  expect(median(ends)).toBeCloseTo(46, 0)
})

it('a room that starts far from its usual air leans back towards it, but not beyond', () => {
  // Whatever the evening was, the morning is at 45.
  const forgets = (day: number, hour: number) => (hour >= 17 && hour < 23 ? 45 + ((day * 7) % 11) - 5 : 45)
  const forecast = ask({ nights: { days: pastDays(28, forgets) }, air: { ...AIR, humidityPct: 65 } })

  const middle = median(forecast.paths.map((p) => lastOf(p.humidityPct)))
  expect(middle).toBeGreaterThan(45)
  expect(middle).toBeLessThan(55)
})

it('ROOM-2 with fewer than 7 whole nights it is the air as it is, and says so', () => {
  const seven = ask({ nights: { days: pastDays(8, fallsAtNight) } })
  const six = ask({ nights: { days: pastDays(7, fallsAtNight) } })
  const none = ask({ nights: undefined })

  expect([seven.basis, seven.days]).toEqual(['paths', 7])
  expect([six.basis, six.days]).toEqual(['persistence', 6])
  expect([none.basis, none.days]).toEqual(['persistence', 0])
  expect(none.paths).toHaveLength(1)
  expect(new Set(six.paths[0]?.humidityPct)).toEqual(new Set([50]))
})

it('ROOM-2 a night with a hole over 2 h is left out, one with a shorter hole is bridged', () => {
  const holed = (untilHour: number) => (day: number, hour: number) =>
    day % 4 === 1 && hour > 1 && hour < untilHour ? null : fallsAtNight(day, hour)

  expect(ask({ nights: { days: pastDays(28, holed(3)) } }).days).toBe(27)
  // The hole on day d breaks the night from d - 1 to d: seven of the 27.
  expect(ask({ nights: { days: pastDays(28, holed(3.5)) } }).days).toBe(20)
})

it('ROOM-2 a date that nobody measured is no night of its neighbours', () => {
  const days = pastDays(28, fallsAtNight)
  const without = days.filter((_, day) => day !== 10)

  expect(ask({ nights: { days: without } }).days).toBe(25)
})

it('ROOM-3 a long weekend is replayed day after day, each path on to the day after its own', () => {
  // Each day ends 1 %RH lower than it began; only the sum over days tells that the days follow each other.
  const sinks = (day: number, hour: number) => 90 - day - hour / 24
  const forecast = ask({
    nights: { days: pastDays(28, sinks) },
    fromMs: at('2026-03-27T19:00Z'),
    toMs: at('2026-03-31T07:00Z'),
  })

  expect(forecast.basis).toBe('paths')
  for (const path of forecast.paths) expect(lastOf(path.humidityPct)).toBeCloseTo(50 - 3.5, 1)
})

it('ROOM-3 where a damp day always follows a dry one, it does so on every path', () => {
  // From 19:00 to 19:00 up by 6 %RH on even days, down again on odd ones.
  const upAndDown = (day: number, hour: number) => {
    const since = day + (hour - 19) / 24
    const part = since - Math.floor(since)
    return Math.abs(Math.floor(since)) % 2 === 0 ? 50 + 6 * part : 56 - 6 * part
  }
  const forecast = ask({
    nights: { days: pastDays(28, upAndDown) },
    air: { ...AIR, humidityPct: 53 },
    fromMs: at('2026-03-29T19:00Z'),
    toMs: at('2026-03-31T19:00Z'),
  })

  const afterADay = forecast.paths.map((p) => Math.sign((p.humidityPct[96] ?? NaN) - 53))
  const afterTwo = forecast.paths.map((p) => Math.sign(lastOf(p.humidityPct) - 53))
  expect(afterADay.slice(0, 4)).toEqual([1, -1, 1, -1])
  // The last path has no day after its own and begins again with the first.
  expect(afterTwo.slice(0, -1)).toEqual(afterADay.slice(0, -1).map((sign) => -sign))
})

it('ROOM-3 seven whole days are enough for four days ahead', () => {
  const forecast = ask({
    nights: { days: pastDays(9, fallsAtNight) },
    fromMs: at('2026-03-27T19:00Z'),
    toMs: at('2026-03-31T05:00Z'),
  })

  expect([forecast.basis, forecast.days]).toEqual(['paths', 8])
  for (const path of forecast.paths) expect(lastOf(path.humidityPct)).toBeCloseTo(40, 9)
})

it('ROOM-4 a room without a thermometer keeps the temperature that it was given', () => {
  const forecast = ask({ nights: { days: pastDays(28, fallsAtNight, () => null) } })

  expect(forecast.basis).toBe('paths')
  for (const path of forecast.paths) expect(new Set(path.temperatureC)).toEqual(new Set([22]))
})

it('ROOM-4 temperature is forecast like humidity, night by night together with it', () => {
  const cools = (_day: number, hour: number) => 22 - ((hour + 24 - 19) % 24) / 13
  const forecast = ask({ nights: { days: pastDays(28, fallsAtNight, cools) } })

  for (const path of forecast.paths) expect(lastOf(path.temperatureC)).toBeCloseTo(21, 9)
})

it('ROOM-5 in the night when clocks go forward the habits stay at their hour of the wall clock', () => {
  // Brussels, 29 March 2026: 02:00 becomes 03:00. The heating comes on at 06:00 and dries the air at once.
  const heatedAtSix = (_day: number, hour: number) => (hour >= 6 && hour < 18 ? 40 : 50)
  const forecast = ask({
    nights: { days: pastDays(27, heatedAtSix) },
    fromMs: at('2026-03-28T18:00Z'),
    toMs: at('2026-03-29T06:00Z'),
    timeZone: 'Europe/Brussels',
  })
  const humidityAt = (text: string) => forecast.paths[0]?.humidityPct[forecast.atMs.indexOf(at(text))]

  // 05:30 and 06:00 summer time.
  expect(humidityAt('2026-03-29T03:30Z')).toBeCloseTo(50, 9)
  expect(humidityAt('2026-03-29T04:00Z')).toBeCloseTo(40, 9)
})

it('humidity stays within 0 to 100 %RH on every path, and every value is a number', () => {
  let reached = 0
  const wild = fc.array(fc.integer({ min: 0, max: 100 }), { minLength: 28 * 48, maxLength: 28 * 48 })
  fc.assert(
    fc.property(wild, fc.integer({ min: 0, max: 100 }), (values, humidityPct) => {
      const days = pastDays(28, (day, hour) => values[day * 48 + hour * 2] ?? null)
      const { paths } = ask({ nights: { days }, air: { temperatureC: 22, humidityPct } })
      for (const value of paths.flatMap((p) => [...p.humidityPct])) {
        expect(value).toBeGreaterThanOrEqual(0)
        expect(value).toBeLessThanOrEqual(100)
        if (value === 0 || value === 100) reached++
      }
    }),
    { numRuns: 10, seed: 26 },
  )
  expect(reached).toBeGreaterThan(0)
})

it('refuses a stretch that ends before it begins, and air that is none', () => {
  expect(() => ask({ toMs: at('2026-03-30T19:00Z') })).toThrow('toMs must be after fromMs')
  expect(() => ask({ air: { temperatureC: 22, humidityPct: NaN } })).toThrow('humidityPct must be 0 to 100')
  expect(() => ask({ air: { temperatureC: NaN, humidityPct: 50 } })).toThrow('temperatureC must be a number')
})
