import { describe, expect, it } from 'vitest'
import { learnFillProfile, type WeighedSpan } from '../../../../../services/core/learn/learn-fill-profile.ts'
import { fillProfileSchema } from '../../../../../services/core/model/learned/fill-profile.ts'
import { bottleSettings } from '../../../../parts/bottle-run.ts'
import {
  DAY,
  during,
  HOUR,
  MINUTE,
  MONDAY_MS,
  purges,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'

const ZONE = 'Europe/Brussels'
const QUARTER = 15 * MINUTE

/** What history keeps of a signal: means over the readings of a minute, and the last of them. */
function spansOf(
  signal: Signal,
  forMs: number,
  { fromMs = MONDAY_MS, lengthMs = QUARTER } = {},
): WeighedSpan[] {
  return Array.from({ length: Math.floor(forMs / lengthMs) }, (_, i) => {
    const end = (i + 1) * lengthMs
    const minutes = Array.from({ length: lengthMs / MINUTE }, (_, m) => signal(end - m * MINUTE))
    const meanKg = minutes.reduce((a, b) => a + b, 0) / minutes.length
    return { fromMs: fromMs + end - lengthMs, toMs: fromMs + end, meanKg, lastKg: minutes[0] ?? NaN }
  })
}

function learn(weighed: readonly WeighedSpan[], timeZone = ZONE) {
  const [bottle] = bottleSettings(MINUTE).bottles
  if (!bottle) throw new RangeError('the shop has a bottle')
  return learnFillProfile({ bottle, timeZone, weighed, toMs: weighed.at(-1)?.toMs ?? MONDAY_MS })
}

const EMPTIED: Signal = (since) => 0.5 + (0.01 / HOUR) * (since % (100 * HOUR))
const HOURLY: Signal = (since) => 0.5 + (0.01 / HOUR) * since

describe('fill profile, learned', () => {
  it.each([QUARTER, HOUR])('PROFILE-1 says what each hour gained, from spans of %d ms', (lengthMs) => {
    const profile = learn(spansOf(HOURLY, 3 * DAY, { lengthMs }))
    expect(profile?.firstHour).toBe(Date.UTC(2026, 2, 2) / HOUR + 1)
    const known = profile?.gainsG.filter((g) => g !== null) ?? []
    expect(known.length).toBeGreaterThanOrEqual(70)
    expect(known.every((g) => Math.abs(g - 10) < 0.11)).toBe(true)
  })
  it('PROFILE-1 a purge stands in its hour', () => {
    const profile = learn(
      spansOf(
        together(() => 0.5, purges(6 * HOUR, 0.012)),
        3 * DAY,
      ),
    )
    const firstHour = Date.UTC(2026, 2, 2) / HOUR
    const gainOf = (hour: number): number | null | undefined =>
      profile?.gainsG[firstHour + hour - (profile.firstHour ?? 0)]
    expect([5, 6, 7, 12, 18].map(gainOf)).toEqual([0, 12, 0, 12, 12])
  })
  it('PROFILE-1 a bump on one last reading counts for nothing', () => {
    const weighed = spansOf(HOURLY, 3 * DAY).map((s, i) =>
      i % 19 === 7 ? { ...s, lastKg: s.lastKg + 0.7 } : s,
    )
    const known = learn(weighed)?.gainsG.filter((g) => g !== null) ?? []
    expect(known.every((g) => Math.abs(g - 10) < 3)).toBe(true)
    expect(known.reduce((a, b) => a + b, 0) / known.length).toBeCloseTo(10, 1)
  })
  it('PROFILE-2 an emptying tells no gain', () => {
    const emptied = together(
      HOURLY,
      during(30 * HOUR + 20 * MINUTE, 30 * HOUR + 25 * MINUTE, -0.8),
      during(30 * HOUR + 25 * MINUTE, Infinity, -0.5),
    )
    const profile = learn(spansOf(emptied, 3 * DAY))
    expect(profile?.gainsG.filter((g) => g === null)).toHaveLength(1)
    expect(profile?.gainsG.filter((g) => g !== null).every((g) => Math.abs(g - 10) < 3)).toBe(true)
  })
  it('PROFILE-2 an hour in which nobody weighed, or the bottle was off the scale, tells no gain', () => {
    const weighed = spansOf(HOURLY, 3 * DAY).filter((_, i) => i < 100 || i >= 120)
    expect(learn(weighed)?.gainsG.filter((g) => g === null).length).toBeGreaterThanOrEqual(4)
    const lifted = together(HOURLY, during(30 * HOUR, 33 * HOUR, -0.8))
    expect(learn(spansOf(lifted, 3 * DAY))?.gainsG.filter((g) => g === null).length).toBeGreaterThanOrEqual(3)
  })
  it('PROFILE-2 what is poured in by hand, or no bottle can weigh, tells no gain', () => {
    const others = (signal: Signal) => {
      const gains = learn(spansOf(signal, 3 * DAY))?.gainsG ?? []
      expect(gains.filter((g) => g !== null).every((g) => Math.abs(g - 10) < 3)).toBe(true)
      return gains.filter((g) => g === null).length
    }
    expect(others(together(HOURLY, during(30.2 * HOUR, Infinity, 0.9)))).toBe(1)
    // At its rail, as a broken scale stands: neither the hours there nor the two at its ends.
    const rail: Signal = (since) => (since >= 30.2 * HOUR && since < 35.7 * HOUR ? 9 : HOURLY(since))
    expect(others(rail)).toBe(6)
  })
  it('PROFILE-3 evaporation is the usual fall of hours in which nothing flowed', () => {
    const drying = together(
      () => 1.2,
      purges(6 * HOUR, 0.012),
      (since) => -0.005 * (since / DAY),
    )
    const profile = learn(spansOf(drying, 14 * DAY))
    expect(profile?.evaporationGPerDay).toBeCloseTo(5, 0)
    expect(profile?.noiseG).toBeLessThan(0.2)
  })
  it('PROFILE-3 a bottle that always gains has no evaporation to learn', () => {
    expect(learn(spansOf(HOURLY, 3 * DAY))?.evaporationGPerDay).toBe(0)
  })
  it('PROFILE-4 less than a day teaches nothing', () => {
    expect(learn(spansOf(HOURLY, 20 * HOUR))).toBeNull()
    expect(learn([])).toBeNull()
  })
  it('keeps the last eight weeks, across both changes of the clock, and fits its schema', () => {
    const autumn = Date.UTC(2026, 8, 28)
    const profile = learn(spansOf(EMPTIED, 70 * DAY, { fromMs: autumn, lengthMs: HOUR }))
    // One number fewer than hours lived: the hour that comes twice is one.
    expect(profile?.gainsG).toHaveLength(8 * 168 - 1)
    expect(fillProfileSchema.parse(profile)).toEqual(profile)
    expect(profile?.gainsG.filter((g) => g !== null && g > 15)).toEqual([20])
    const slowly: Signal = (since) => 0.5 + (0.003 / HOUR) * since
    const spring = learn(spansOf(slowly, 28 * DAY, { fromMs: Date.UTC(2026, 2, 9), lengthMs: HOUR }))
    expect(spring?.gainsG.filter((g) => g === 0)).toHaveLength(1)
  })
  it('works in a zone half an hour off, from hourly spans', () => {
    const profile = learn(spansOf(HOURLY, 3 * DAY, { lengthMs: HOUR }), 'Asia/Kolkata')
    const known = profile?.gainsG.filter((g) => g !== null) ?? []
    expect(known.length).toBeGreaterThan(60)
    expect(known.every((g) => Math.abs(g - 10) < 0.11)).toBe(true)
  })
})
