import { expect, it } from 'vitest'
import {
  nightExposures,
  nightModelVersion,
  type NightMaterial,
  type QuarterMean,
} from '../../../../../services/core/study/night-exposure.ts'
import { shopNights } from '../../../../../services/core/study/shop-nights.ts'
import { QUARTER_MS } from '../../../../../services/core/model/quarter.ts'
import { quietQuarters } from '../../../../parts/night-quarters.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const settings = testSettings()
/** From Wednesday 18:00 to Thursday 08:30 in Brussels: 14.5 h, 58 quarters. */
const [night] = shopNights(
  [{ sinceMs: Date.parse('2026-11-25T12:00:00Z'), settings }],
  Date.parse('2026-11-26T12:00:00Z'),
)
if (!night) throw new Error('the invented shop has no night')
const [machine] = settings.machines
if (!machine) throw new Error('the invented shop has no machine')
const { fromMs, toMs } = night
const QUARTERS = 58

const air = (valueAt: (n: number) => number | null): QuarterMean[] =>
  Array.from({ length: QUARTERS }, (_, n) => n).flatMap((n) => {
    const mean = valueAt(n)
    return mean === null ? [] : [{ atMs: fromMs + n * QUARTER_MS, mean }]
  })
const exposures = (change: Partial<NightMaterial> = {}) =>
  nightExposures({
    night,
    machine,
    quarters: quietQuarters({ fromMs: fromMs - QUARTER_MS, toMs }),
    humidityPct: [air(() => 45)],
    temperatureC: [air(() => 20)],
    dryBelowPct: 40,
    actedUpon: false,
    modelVersion: nightModelVersion(settings.limits),
    ...change,
  })
const [quietNight] = exposures()
const white = (change: Partial<NightMaterial>) =>
  exposures(change).find((e) => e.channelGroupId === 'roll-white')

it('a quiet night, worked out by hand: 58 quarters of a quarter of a kPa h', () => {
  expect(exposures().map((e) => e.channelGroupId)).toEqual(['roll-colour', 'roll-white'])
  expect(quietNight).toEqual({
    machineId: 'roll',
    headId: 'roll-head',
    channelGroupId: 'roll-colour',
    nightOf: '2026-11-25',
    fromMs,
    toMs,
    doseKpaH: 14.5,
    minHumidityPct: 45,
    hoursBelowPct: 0,
    darkHours: 0,
    uncappedHours: 0,
    cleaningsSeen: 0,
    minTemperatureC: 20,
    actedUpon: false,
    modelVersion: '1, dry below 40 %RH',
  })
})

it('NIGHT-1 a quarter counts as far as it lies within the night: closing at 18:05 takes two thirds of one', () => {
  const late = { ...night, fromMs: fromMs + 5 * 60_000 }
  const dark = quietQuarters({ fromMs, toMs, change: () => ({ seconds: { off: 900 } }) })
  expect(white({ night: late, quarters: dark })?.darkHours).toBeCloseTo(14.5 - 1 / 12, 3)
  expect(white({ night: late })?.doseKpaH).toBeCloseTo(14.5 - 1 / 12, 3)
})

it('NIGHT-2 what a tenth of the night does not tell is still told; with more it is null', () => {
  const gap = (quarters: number) => ({
    quarters: quietQuarters({
      fromMs: fromMs - QUARTER_MS,
      toMs,
      change: (n) => (n >= 10 && n < 10 + quarters ? { seconds: { unknown: 900 }, deficitKpa: null } : {}),
    }),
    humidityPct: [air((n) => (n < quarters ? null : 45))],
  })
  expect(white(gap(5))).toMatchObject({ darkHours: 0, minHumidityPct: 45, doseKpaH: 13.25 })
  expect(white(gap(6))).toMatchObject({
    doseKpaH: null,
    minHumidityPct: null,
    hoursBelowPct: null,
    darkHours: null,
    uncappedHours: null,
    cleaningsSeen: null,
    minTemperatureC: 20,
  })
  expect(white({ quarters: [], humidityPct: [], temperatureC: [] })).toMatchObject({
    doseKpaH: null,
    darkHours: null,
    minTemperatureC: null,
  })
})

it('NIGHT-3 dose is the sum of its rises, whatever was wetted in between; uncapped it rises fifty times as fast', () => {
  // Wetted wholly after five hours: the dose begins again, what the night gives does not change.
  const wetted = quietQuarters({
    fromMs: fromMs - QUARTER_MS,
    toMs,
    doseAt: (n) => (n < 20 ? 30 + n / 4 : (n - 19) / 4),
  })
  expect(white({ quarters: wetted })?.doseKpaH).toBe(14.5)
  // Half wetted: what is left of it was not gathered anew.
  const partly = quietQuarters({
    fromMs: fromMs - QUARTER_MS,
    toMs,
    doseAt: (n) => (n < 20 ? 30 + n / 4 : 17 + (n - 19) / 4),
  })
  expect(white({ quarters: partly })?.doseKpaH).toBe(14.5)
  // Ten quarters off the cap by 12.5 kPa h each, the others a quarter.
  let dose = 0
  const off = quietQuarters({
    fromMs: fromMs - QUARTER_MS,
    toMs,
    change: (n) => {
      dose += n > 20 && n <= 30 ? 12.5 : 0.25
      return {
        uncappedS: n > 20 && n <= 30 ? 900 : 0,
        inks: [{ channelGroupId: 'roll-white', doseKpaH: dose, certainKpaH: null }],
      }
    },
  })
  expect(white({ quarters: off })).toMatchObject({ doseKpaH: 137, uncappedHours: 2.5 })
})

it('NIGHT-4 air is the mean of the sensors of the room over a quarter of an hour', () => {
  // Six hours of 36 %RH by one sensor and 42 by the other: 39 together.
  const both = { humidityPct: [air((n) => (n < 24 ? 36 : 44)), air((n) => (n < 24 ? 42 : 46))] }
  expect(white(both)).toMatchObject({ minHumidityPct: 39, hoursBelowPct: 6 })
  expect(white({ ...both, dryBelowPct: 39 })).toMatchObject({ hoursBelowPct: 0 })
  expect(white({ temperatureC: [air((n) => 20 - n / 10)] })?.minTemperatureC).toBe(14.3)
})

it('NIGHT-5 cleanings are known by a meter, not by a contact; where a machine is dark there are none', () => {
  const by = (seconds: 'on' | 'standby' | 'off') => ({
    quarters: quietQuarters({
      fromMs: fromMs - QUARTER_MS,
      toMs,
      change: (n) => ({ seconds: { [seconds]: 900 }, cleanings: n % 12 === 6 ? 1 : 0 }),
    }),
  })
  expect(white(by('standby'))?.cleaningsSeen).toBe(5)
  expect(white(by('on'))).toMatchObject({ cleaningsSeen: null, darkHours: 0 })
  expect(white(by('off'))).toMatchObject({ darkHours: 14.5 })
})

it('NIGHT-6 the limit for dry air is part of the version: nights under two limits are never put together', () => {
  const drier = testSettings({
    limits: { airDryPct: { openBelow: 35, closeAbove: 37, onDelayMs: 0, offDelayMs: 0 } },
  })
  expect(nightModelVersion(drier.limits)).toBe('1, dry below 35 %RH')
})
