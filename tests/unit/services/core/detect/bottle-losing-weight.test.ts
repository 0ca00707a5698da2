import { describe, expect, it } from 'vitest'
import type { FillProfile } from '../../../../../services/core/model/learned/fill-profile.ts'
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

const base: Signal = () => 1.5
const FILL_PROFILE: FillProfile = {
  kind: 'fillProfile',
  subjectId: 'roll-waste',
  fromMs: 0,
  toMs: 1,
  version: 'test',
  timeZone: 'UTC',
  firstHour: 0,
  gainsG: [],
  evaporationGPerDay: 60,
  noiseG: 0.2,
}
/** So many kilograms an hour, from `fromMs` on. */
const leak =
  (kgPerH: number, fromMs = 0, toMs = Infinity): Signal =>
  (since) =>
    -(kgPerH / HOUR) * Math.max(0, Math.min(since, toMs) - fromMs)

function losing(signal: Signal, forMs: number, everyMs = MINUTE): string[] {
  return told(liveBottle({ signal, forMs, everyMs }).found, 'bottleLosingWeight')
}

/** Hours from the beginning at which it was sure. */
function sureAfterH(told: readonly string[]): number {
  return Number(/opened .* sure (.*)/.exec(told[0] ?? '')?.[1]) / 60
}

describe('bottle losing weight', () => {
  it.each([MINUTE / 6, MINUTE, 2 * MINUTE])(
    'LOSING-1 a leak of 80 g/h is found within two hours, at a reading every %d ms',
    (everyMs) => {
      const found = losing(together(base, noise(0.001), leak(0.08, 6 * HOUR)), 12 * HOUR, everyMs)
      expect(found).toHaveLength(1)
      expect(sureAfterH(found)).toBeGreaterThan(6)
      expect(sureAfterH(found)).toBeLessThan(8)
    },
  )
  it('LOSING-1 a leak of 1 kg/h is found although the scale is never at rest', () => {
    expect(sureAfterH(losing(together(base, leak(1, 6 * HOUR)), 8 * HOUR))).toBeLessThan(6.8)
  })
  it('LOSING-1 a tube that pulls for hours, again and again, is no leak', () => {
    const tube: Signal = (since) => (Math.floor(since / (3 * HOUR)) % 2 === 0 ? 0 : -0.012)
    expect(losing(together(base, noise(0.001), tube), 4 * DAY)).toEqual([])
  })
  it('LOSING-1 a thing that lay on the scale for some hours and is taken off is no leak', () => {
    expect(losing(together(base, during(8 * HOUR, 11 * HOUR, 0.4)), 3 * DAY)).toEqual([])
  })
  it('LOSING-2 somebody who takes 300 g at once is found', () => {
    const found = losing(together(base, during(30 * HOUR, Infinity, -0.3)), 32 * HOUR)
    expect(sureAfterH(found)).toBeLessThan(30.6)
  })
  it('LOSING-2 evaporation as usual, and a tenth of it more, is no loss', () => {
    expect(losing(together(base, leak(0.0045 / 24)), 5 * DAY)).toEqual([])
    const learned = [FILL_PROFILE]
    const wet = together(base, leak(0.066 / 24))
    const run = liveBottle({ signal: wet, forMs: 5 * DAY, everyMs: MINUTE, learned })
    expect(told(run.found, 'bottleLosingWeight')).toEqual([])
    expect(losing(wet, 5 * DAY)).toHaveLength(1)
  })
  it('LOSING-3 a leak of 70 g a day shows between purges that bring more than it takes', () => {
    const found = losing(
      together(base, noise(0.0005), purges(4 * HOUR, 0.015), leak(0.07 / 24, 12 * HOUR)),
      2 * DAY,
    )
    expect(found).toHaveLength(1)
    expect(sureAfterH(found)).toBeLessThan(36)
  })
  it('LOSING-4 closes when the loss has stopped and left the last day', () => {
    const found = losing(together(base, leak(0.08, 6 * HOUR, 9 * HOUR)), 3 * DAY)
    expect(found).toHaveLength(2)
    expect(found[1]).toMatch(/^closed/)
  })
  it('LOSING-4 closes when a hand was at the bottle, dated to its return', () => {
    const found = losing(
      together(base, leak(0.08, 6 * HOUR, 9 * HOUR), during(10 * HOUR, 10 * HOUR + 5 * MINUTE, -1.5)),
      12 * HOUR,
    )
    expect(found[1]).toBe('closed 605 sure 607')
    expect(found).toHaveLength(2)
  })
  it('LOSING-4 an emptying is no loss', () => {
    expect(losing(together(base, during(10 * HOUR, Infinity, -1.28)), 2 * DAY)).toEqual([])
    expect(
      losing(
        together(
          base,
          during(10 * HOUR, 10 * HOUR + 5 * MINUTE, -1.5),
          during(10 * HOUR + 5 * MINUTE, Infinity, -0.5),
        ),
        2 * DAY,
      ),
    ).toEqual([])
  })
  it('LOSING-5 a silence of hours in which nothing was lost is no loss', () => {
    const run = liveBottle({
      signal: together(base, leak(0.004 / 24)),
      forMs: 2 * DAY,
      everyMs: MINUTE,
      silent: [10 * HOUR, 20 * HOUR],
    })
    expect(told(run.found, 'bottleLosingWeight')).toEqual([])
  })
  it('LOSING-5 a bottle that was emptied while the scale was silent, and is not at rest at first, lost nothing', () => {
    const runsIn: Signal = (since) => (0.04 / HOUR) * Math.min(8 * MINUTE, Math.max(0, since - 20 * HOUR))
    const run = liveBottle({
      signal: together(base, during(14 * HOUR, Infinity, -1.28), runsIn, runsIn, runsIn),
      forMs: 2 * DAY,
      everyMs: MINUTE,
      silent: [10 * HOUR, 20 * HOUR],
    })
    expect(told(run.found, 'bottleLosingWeight')).toEqual([])
  })
})
