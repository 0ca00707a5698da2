import { expect, it } from 'vitest'
import {
  CLEANING_INTERVAL_VERSION,
  learnCleaningInterval,
  type StateSpan,
} from '../../../../../services/core/learn/learn-cleaning-interval.ts'
import { cleaningIntervalSchema } from '../../../../../services/core/model/learned/cleanings.ts'
import { HOUR, MINUTE, START } from '../track/metered-machine.ts'

/** Cleanings of three minutes that begin so many hours after the start. */
const cleaningsAt = (...hours: number[]) =>
  hours.map((h) => ({ fromMs: START + h * HOUR, toMs: START + h * HOUR + 3 * MINUTE }))
const span = (state: StateSpan['state'], fromH: number, toH: number): StateSpan => ({
  state,
  fromMs: START + fromH * HOUR,
  toMs: START + toH * HOUR,
})
const learn = (hours: number[], spans: StateSpan[] = []) =>
  learnCleaningInterval({ machineId: 'roll', cleanings: cleaningsAt(...hours), spans })

it('INTERVAL-1 is the median from the end of a cleaning to the next while the machine is idle', () => {
  const learned = learn([0, 4, 8, 12, 16, 20.5, 24.5])
  expect(learned && cleaningIntervalSchema.parse(learned)).toEqual(learned)
  expect(learned).toMatchObject({
    kind: 'cleaningInterval',
    subjectId: 'roll',
    version: CLEANING_INTERVAL_VERSION,
  })
  expect(learned?.hours).toBeCloseTo(3.95, 5)
  expect(learned).toMatchObject({ intervals: 6, spreadHours: 0 })
})

it('INTERVAL-1 a time with a print in it does not count, where there are enough without', () => {
  const hours = [0, 4, 8, 12, 16, 20, 30]
  expect(learn(hours, [span('printing', 21, 29)])).toMatchObject({ intervals: 5 })
  expect(learn(hours, [span('printing', 21, 21.02)])).toMatchObject({ intervals: 6 })
})

it('INTERVAL-2 with fewer than five of these, times with prints count, and those with a gap never do', () => {
  const prints = [0, 24, 48, 72, 96, 120, 144].map((h) => span('printing', h + 10, h + 15))
  const daily = [0, 24, 48, 72, 96, 120, 144]
  expect(learn(daily, prints)?.hours).toBeCloseTo(23.95, 5)
  expect(learn(daily, [...prints, span('off', 50, 51)])).toMatchObject({ intervals: 5 })
  expect(learn(daily, [...prints, span('off', 50, 51), span('unknown', 80, 81)])).toBeNull()
})

it('INTERVAL-3 fewer than five intervals teach nothing', () => {
  expect(learn([])).toBeNull()
  expect(learn([0, 4, 8, 12, 16])).toBeNull()
  expect(learn([0, 4, 8, 12, 16, 20])).toMatchObject({ intervals: 5 })
})
