import { describe, expect, it } from 'vitest'
import type { CleaningInterval, CleaningWaste } from '../../../../../services/core/model/learned/cleanings.ts'
import { liveBottle, told } from '../../../../parts/bottle-run.ts'
import {
  DAY,
  during,
  HOUR,
  MINUTE,
  noise,
  purges,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'

const learnedWaste = (change: Partial<CleaningWaste> = {}): CleaningWaste => ({
  kind: 'cleaningWaste',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: 'test',
  gramsPerCleaning: 12,
  sigmaG: 0.6,
  cleanings: 40,
  ...change,
})
const everyHours = (hours: number): CleaningInterval => ({
  kind: 'cleaningInterval',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: 'test',
  hours,
})
const EVERY = 4 * HOUR
const base: Signal = () => 0.5
/** Cleanings end three minutes after every fourth hour. */
const ends = (days: number, lateMs = 0): number[] =>
  Array.from({ length: days * 6 }, (_, i) => (i + 1) * EVERY + 3 * MINUTE + lateMs)
/** The hose comes off: nothing arrives between. */
const off = (fromMs: number, toMs = Infinity): Signal => {
  const all = purges(EVERY, 0.012)
  return (since) => (since < fromMs ? 0 : all(fromMs) - all(Math.min(since, toMs)))
}

function owed(
  signal: Signal,
  days: number,
  change: Partial<Parameters<typeof liveBottle>[0]> = {},
): string[] {
  const run = liveBottle({
    signal: together(base, signal),
    forMs: days * DAY,
    everyMs: MINUTE,
    learned: [learnedWaste()],
    cleanings: ends(days),
    ...change,
  })
  return told(run.found, 'wasteNotArriving')
}

function closedAtMin(found: readonly string[]): number {
  return Number(/closed (.*) sure/.exec(found[1] ?? '')?.[1])
}

const arriving = purges(EVERY, 0.012)

describe('waste not arriving', () => {
  it.each([MINUTE / 6, MINUTE, 2 * MINUTE])(
    'OWED-1 opens at the second cleaning whose waste is missing, at a reading every %d ms',
    (everyMs) => {
      const found = owed(together(arriving, off(DAY + HOUR)), 2, { everyMs })
      expect(found).toHaveLength(1)
      const [, fromMin, sureMin] = /opened (.*) sure (.*)/.exec(found[0] ?? '') ?? []
      expect(Number(fromMin)).toBe((DAY + EVERY) / MINUTE + 3)
      expect(Number(sureMin)).toBeGreaterThanOrEqual((DAY + 2 * EVERY) / MINUTE + 13)
      expect(Number(sureMin)).toBeLessThan((DAY + 2 * EVERY) / MINUTE + 22)
    },
  )
  it('OWED-1 two weeks of cleanings that all arrive owe nothing, though each brings a little less than learned', () => {
    expect(owed(together(purges(EVERY, 0.0112), noise(0.001)), 14)).toEqual([])
  })
  it('OWED-1 waste that comes in lumps, three cleanings at once, owes nothing beyond its limit', () => {
    const lumps: Signal = (since) => 0.012 * 2 * Math.floor(since / (2 * EVERY))
    expect(owed(lumps, 5, { learned: [learnedWaste({ gramsPerCleaning: 10, sigmaG: 1 })] })).toEqual([])
  })
  it('OWED-1 with a learned value that varies widely it waits for more', () => {
    const learned = [learnedWaste({ sigmaG: 5 })]
    const found = owed(together(arriving, off(DAY + HOUR)), 3, { learned })
    const [, , sureMin] = /opened (.*) sure (.*)/.exec(found[0] ?? '') ?? []
    // What is owed, 11.4 g less 0.8 g evaporated for each of n, is over 5 x 5 g x sqrt(n) when n is 6.
    expect(Number(sureMin)).toBeGreaterThan((DAY + 6 * EVERY) / MINUTE)
    expect(Number(sureMin)).toBeLessThan((DAY + 6 * EVERY) / MINUTE + 30)
  })
  it.each([8, 15])('OWED-2 an end that is seen %d minutes late owes nothing', (late) => {
    expect(owed(arriving, 5, { cleanings: ends(5, late * MINUTE) })).toEqual([])
  })
  it('OWED-2 nor does it when one cleaning alone brings more than the limit', () => {
    const learned = [learnedWaste({ gramsPerCleaning: 30 })]
    expect(owed(purges(EVERY, 0.03), 3, { learned, cleanings: ends(3, 15 * MINUTE) })).toEqual([])
  })
  it('OWED-2 an end that is seen two minutes early owes nothing', () => {
    expect(owed(arriving, 5, { cleanings: ends(5, -2 * MINUTE) })).toEqual([])
  })
  it('OWED-3 stays off with fewer than five learned cleanings, and with none', () => {
    const signal = together(arriving, off(DAY))
    expect(owed(signal, 4, { learned: [learnedWaste({ cleanings: 4 })] })).toEqual([])
    expect(owed(signal, 4, { learned: [] })).toEqual([])
    expect(owed(signal, 4, { learned: [learnedWaste({ cleanings: 5 })] })).toHaveLength(1)
  })
  it('OWED-4 closes when waste arrives again', () => {
    const found = owed(together(arriving, off(DAY + HOUR, 2 * DAY + HOUR)), 4)
    expect(found).toHaveLength(2)
    expect(closedAtMin(found)).toBeGreaterThan((2 * DAY + EVERY) / MINUTE)
    expect(closedAtMin(found)).toBeLessThan((2 * DAY + EVERY) / MINUTE + 22)
  })
  it('OWED-4 closes when a machine that prints brings 20 g, before the next cleaning', () => {
    const printing: Signal = (since) => (0.03 / HOUR) * Math.max(0, since - 2 * DAY - HOUR)
    const found = owed(together(arriving, off(DAY + HOUR), printing), 2.2, { cleanings: ends(2) })
    expect(found).toHaveLength(2)
    expect(closedAtMin(found)).toBeLessThan((2 * DAY + 2 * HOUR) / MINUTE)
  })
  it('OWED-4 a tube that is let go between two cleanings closes nothing', () => {
    const tube: Signal = (since) => ((since + 7 * HOUR) % (8 * HOUR) < 2 * HOUR ? -0.009 : 0)
    expect(owed(together(arriving, off(DAY + HOUR), tube), 4)).toHaveLength(1)
  })
  it('OWED-4 a hand at the bottle ends it, and what was owed before is forgotten', () => {
    const lifted = during(DAY + 10 * HOUR, DAY + 10 * HOUR + 5 * MINUTE, -0.56)
    const found = owed(together(arriving, off(DAY + HOUR), lifted), 2)
    expect(found[1]).toBe(`closed ${DAY / MINUTE + 605} sure ${DAY / MINUTE + 607}`)
    const [, fromMin] = /opened (.*) sure (.*)/.exec(found[2] ?? '') ?? []
    expect(Number(fromMin)).toBeGreaterThan(DAY / MINUTE + 605)
  })
  it('OWED-4 a lift after one missing purge begins the count anew', () => {
    const lifted = during(DAY + 6 * HOUR, DAY + 6 * HOUR + 5 * MINUTE, -0.56)
    const signal = together(arriving, off(DAY + HOUR, DAY + 11 * HOUR), lifted)
    expect(owed(signal, 2)).toEqual([])
  })
  it('OWED-5 evaporation and a room that swings owe nothing', () => {
    const drift: Signal = (since) => -0.004 * (since / DAY) + 0.00053 * Math.sin((2 * Math.PI * since) / DAY)
    expect(owed(together(arriving, drift), 14)).toEqual([])
  })
  it('OWED-5 cleanings while the scale was silent, whose waste is there afterwards, owe nothing', () => {
    expect(owed(arriving, 3, { silent: [DAY, DAY + 13 * HOUR] })).toEqual([])
  })
  it.each([6, 10, 25])(
    'OWED-6 a leak of %d g an hour owes nothing, though it outruns the cleanings',
    (gramsPerHour) => {
      const leak: Signal = (since) =>
        -(gramsPerHour / 1000 / HOUR) * Math.min(16 * HOUR, Math.max(0, since - DAY))
      expect(owed(together(arriving, leak, noise(0.0003)), 3)).toEqual([])
    },
  )
  it.each([9, 40, 90])(
    'OWED-6 a tube that pulls %d g up and is let go brings nothing and owes nothing',
    (grams) => {
      const tube: Signal = (since) => ((since + 7 * HOUR) % (13 * HOUR) < 7 * HOUR ? -grams / 1000 : 0)
      expect(owed(together(arriving, tube), 5)).toEqual([])
      expect(owed(together(arriving, off(DAY + HOUR), tube), 2.5).length).toBeGreaterThan(0)
    },
  )
  it('OWED-6 a scale that trembles brings nothing, and what is owed is found', () => {
    expect(owed(together(arriving, off(DAY + HOUR), noise(0.001)), 2)).toHaveLength(1)
  })
  it('OWED-6 a cleaning around which the level fell owes as much less as fell', () => {
    const falls: Signal = (since) => (since < DAY + EVERY + 6 * MINUTE ? 0 : -0.006)
    const learned = [learnedWaste({ gramsPerCleaning: 16, sigmaG: 0.3 })]
    const blocked: Signal = (since) => purges(EVERY, 0.016)(Math.min(since, DAY + HOUR))
    const found = owed(together(blocked, falls), 2, { learned })
    const [, fromMin, sureMin] = /opened (.*) sure (.*)/.exec(found[0] ?? '') ?? []
    expect(Number(fromMin)).toBe((DAY + EVERY) / MINUTE + 3)
    // 15.2 g less 6 of the first and 15.2 g of the second are 24.4 g, less what evaporated.
    expect(Number(sureMin)).toBeGreaterThan((DAY + 2 * EVERY) / MINUTE)
    expect(Number(sureMin)).toBeLessThan((DAY + 2 * EVERY) / MINUTE + 30)
  })
  it('OWED-9 small cleanings that are missing are found beside a machine that prints all day', () => {
    const small = { learned: [learnedWaste({ gramsPerCleaning: 6.8, sigmaG: 0.15 })] }
    const some = purges(EVERY, 0.0068)
    const trembles = noise(0.0022)
    expect(owed(together(some, trembles), 5, small)).toEqual([])
    const missing: Signal = (since) => some(Math.min(since, DAY + HOUR))
    const found = owed(together(missing, trembles), 3, small)
    const [, , sureMin] = /opened (.*) sure (.*)/.exec(found[0] ?? '') ?? []
    expect(Number(sureMin)).toBeLessThan((DAY + 6 * EVERY) / MINUTE)
  })
  it('OWED-7 a machine that stopped on an error and seems to clean every ten minutes owes nothing', () => {
    const stopped = Array.from({ length: 14 }, (_, i) => DAY + HOUR + i * 10 * MINUTE)
    const told = { learned: [learnedWaste(), everyHours(4)] }
    expect(owed(arriving, 2, { ...told, cleanings: [...ends(2), ...stopped] })).toEqual([])
  })
  it('OWED-7 a cleaning that a hand starts, and that brings waste, shows that it arrives again', () => {
    const byHandMs = DAY + 9 * HOUR + 40 * MINUTE
    const brings: Signal = (since) =>
      0.012 * Math.min(1, Math.max(0, (since - byHandMs + 3 * MINUTE) / (3 * MINUTE)))
    const found = owed(together(arriving, off(DAY + HOUR, DAY + 11 * HOUR), brings), 2, {
      learned: [learnedWaste(), everyHours(4)],
      cleanings: [...ends(2), byHandMs],
    })
    expect(found).toHaveLength(2)
    expect(closedAtMin(found)).toBeGreaterThan(byHandMs / MINUTE)
    expect(closedAtMin(found)).toBeLessThan(byHandMs / MINUTE + 22)
  })
  it('OWED-8 a bottle that runs over its rim owes nothing, one that is nearly full does', () => {
    const upTo =
      (rimKg: number): Signal =>
      (since) =>
        Math.min(rimKg, 2.1 + arriving(since)) - 0.5
    expect(owed(upTo(2.25), 4)).toEqual([])
    expect(owed(upTo(2.19), 4)).toHaveLength(1)
  })
})
