import { describe, expect, it } from 'vitest'
import type { CleaningWaste } from '../../../../../services/core/model/learned/cleanings.ts'
import { liveBottle, told } from '../../../../parts/bottle-run.ts'
import {
  creep,
  DAY,
  during,
  HOUR,
  MINUTE,
  noise,
  purges,
  roomSwing,
  SECOND,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'

/** Everything that a scale may show while nothing is wrong, for three days. The bottle holds 1 of 2 kg at first. */
const PURGE_EVERY = 4 * HOUR
const EMPTY: Signal = () => 1.2
const WASTE: CleaningWaste = {
  kind: 'cleaningWaste',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: 'test',
  gramsPerCleaning: 12,
  sigmaG: 0.5,
  cleanings: 40,
}
/** A knee under the bench: half a kilogram up or down for a second or three, every 13 minutes. */
const bumps: Signal = (since) => {
  const since13 = since % (13 * MINUTE)
  return since13 < 3 * SECOND ? (Math.floor(since / (13 * MINUTE)) % 2 === 0 ? 0.5 : -0.5) : 0
}
/** A hand of kilograms for up to a minute, every 97 minutes. */
const hands: Signal = (since) => (since % (97 * MINUTE) < MINUTE ? 2 + ((since / 7919) % 1) : 0)
/** The tube is pulled and let go: 9 g, for two hours of every seven. */
const tube: Signal = (since) => (since % (7 * HOUR) < 2 * HOUR ? -0.009 : 0)
/** A lump of pigment of 120 g slides in on the second day. */
const lump = during(30 * HOUR, Infinity, 0.12)
const evaporation: Signal = (since) => -0.004 * (since / DAY)

const wellShop = together(
  EMPTY,
  purges(PURGE_EVERY, 0.012),
  bumps,
  hands,
  tube,
  lump,
  evaporation,
  // The bottle was set down at the beginning, and the cell creeps (OIML R 60-1:2021).
  creep(0),
  roomSwing(15),
  noise(0.001),
)
const cleanings = Array.from({ length: 18 }, (_, i) => (i + 1) * PURGE_EVERY + 3 * MINUTE)

const live = (signal: Signal, everyMs: number, forMs = 3 * DAY) =>
  liveBottle({ signal, forMs, everyMs, learned: [WASTE], cleanings })

describe('a bottle under everything that is not wrong', () => {
  it.each([10 * SECOND, MINUTE, 2 * MINUTE])(
    'raises nothing in three days, at a reading every %d ms',
    (everyMs) => {
      const run = live(wellShop, everyMs)
      expect(run.found).toEqual([])
      expect(run.facts()).toMatchObject({ lastEmptying: null, newTareKg: null, standing: 'onTheScale' })
      // 1 kg, 17 purges whole and one just begun, the lump, less what evaporated.
      expect(Math.abs((run.facts().settled?.massKg ?? 0) - (1.2 + 17 * 0.012 + 0.12 - 0.012))).toBeLessThan(
        0.015,
      )
    },
  )
  it('raises nothing in twelve hours at a reading every second', () => {
    expect(live(wellShop, SECOND, 12 * HOUR).found).toEqual([])
  })
  it('of a 5 kg C3 cell, creep of 1.225 g in 30 min and 0.35 g in 5 degC move the level by that and no more', () => {
    const signal = together(EMPTY, creep(HOUR), roomSwing(15))
    const run = liveBottle({ signal, forMs: DAY, everyMs: MINUTE })
    expect(Math.abs((run.facts().settled?.massKg ?? 0) - 1.2)).toBeLessThan(0.001225 + 0.07 * 0.015)
    expect(run.found).toEqual([])
  })
  it.each([10 * SECOND, MINUTE])(
    'the true ones are found beneath it all, at a reading every %d ms',
    (everyMs) => {
      const leak: Signal = (since) => -(0.09 / HOUR) * Math.max(0, Math.min(since, 40 * HOUR) - 34 * HOUR)
      const leaking = live(together(wellShop, leak), everyMs, 2 * DAY).found
      expect(told(leaking, 'bottleLosingWeight')).toHaveLength(1)
      expect(leaking.every((f) => ['bottleLosingWeight', 'wasteNotArriving'].includes(f.condition))).toBe(
        true,
      )

      const all = purges(PURGE_EVERY, 0.012)
      const hoseOff: Signal = (since) => (since < 41 * HOUR ? 0 : all(41 * HOUR) - all(since))
      expect(told(live(together(wellShop, hoseOff), everyMs).found, 'wasteNotArriving')).toHaveLength(1)

      const filled = live(together(wellShop, during(50 * HOUR, Infinity, 0.7)), everyMs).found
      expect(filled.map((f) => f.condition)).toEqual(['bottleNear', 'bottleFull'])

      const taken = live(together(wellShop, during(50 * HOUR, Infinity, -1.5)), everyMs)
      expect(taken.found.some((f) => f.condition === 'bottleMissing' && f.type === 'opened')).toBe(true)

      const emptied = together(
        wellShop,
        during(50 * HOUR, 50 * HOUR + 4 * MINUTE, -1.4),
        during(50 * HOUR + 4 * MINUTE, Infinity, -1.2),
      )
      const run = live(emptied, everyMs)
      expect(run.facts().lastEmptying?.kind).toBe('emptied')
    },
  )
  it('a restart before every reading changes nothing', () => {
    const story = { signal: wellShop, forMs: 15 * HOUR, everyMs: MINUTE, learned: [WASTE], cleanings }
    const leaking = together(wellShop, (since) => -(0.2 / HOUR) * since, during(5 * HOUR, 5.1 * HOUR, -1.2))
    for (const signal of [wellShop, leaking]) {
      const plain = liveBottle({ ...story, signal })
      const restarted = liveBottle({ ...story, signal, restart: true })
      expect(restarted.found).toEqual(plain.found)
      expect(restarted.facts()).toEqual(plain.facts())
    }
    expect(liveBottle({ ...story, signal: leaking }).found.length).toBeGreaterThan(1)
  })
  it('facts stay small', () => {
    expect(JSON.stringify(live(wellShop, 10 * SECOND, DAY).facts()).length).toBeLessThan(2500)
  })
})
