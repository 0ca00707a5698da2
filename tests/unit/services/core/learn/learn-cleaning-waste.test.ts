import { describe, expect, it } from 'vitest'
import { learnCleaningWaste } from '../../../../../services/core/learn/learn-cleaning-waste.ts'
import type { WeighedSpan } from '../../../../../services/core/learn/learn-fill-profile.ts'
import { cleaningWasteSchema } from '../../../../../services/core/model/learned/cleanings.ts'
import { bottleSettings } from '../../../../parts/bottle-run.ts'
import {
  DAY,
  during,
  HOUR,
  MINUTE,
  MONDAY_MS,
  noise,
  purges,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'

const EVERY = 4 * HOUR
const ends = (days: number): number[] =>
  Array.from({ length: days * 6 }, (_, i) => MONDAY_MS + (i + 1) * EVERY + 3 * MINUTE)

function learn(
  signal: Signal,
  { days = 5, lengthMs = MINUTE, other = [] as readonly number[], cleaningsMs = ends(days) } = {},
) {
  const [bottle] = bottleSettings(MINUTE).bottles
  if (!bottle) throw new RangeError('the shop has a bottle')
  const weighed = Array.from({ length: (days * DAY) / lengthMs }, (_, i): WeighedSpan => {
    const end = (i + 1) * lengthMs
    return {
      fromMs: MONDAY_MS + end - lengthMs,
      toMs: MONDAY_MS + end,
      meanKg: signal(end - lengthMs / 2),
      lastKg: signal(end),
    }
  })
  return learnCleaningWaste({
    machineId: 'roll',
    bottle,
    cleaningsMs,
    otherCleaningsMs: other,
    weighed,
    toMs: MONDAY_MS + days * DAY,
  })
}

const base = together(() => 0.8, purges(EVERY, 0.012), noise(0.0005))

describe('waste of a cleaning, learned', () => {
  it.each([MINUTE, 15 * MINUTE])(
    'CLEANING-WASTE-1 is the gain across each cleaning, from spans of %d ms',
    (lengthMs) => {
      const learned = learn(base, { lengthMs })
      expect(learned?.gramsPerCleaning).toBeCloseTo(12, 0)
      expect(learned?.sigmaG).toBeLessThan(1)
      expect(learned?.cleanings).toBeGreaterThanOrEqual(28)
      expect(cleaningWasteSchema.parse(learned)).toEqual(learned)
    },
  )
  it('CLEANING-WASTE-1 cleanings while the machine prints do not count', () => {
    const printing: Signal = (since) => (0.06 / HOUR) * (since % DAY < 10 * HOUR ? since % DAY : 10 * HOUR)
    const learned = learn(together(base, printing))
    expect(learned?.gramsPerCleaning).toBeCloseTo(12, 0)
    expect(learned?.cleanings).toBeLessThan(25)
  })
  it('CLEANING-WASTE-1 nor those next to the cleaning of another machine, or while the bottle was lifted', () => {
    const all = learn(base)?.cleanings ?? 0
    expect(learn(base, { other: ends(1).map((ms) => ms + 8 * MINUTE) })?.cleanings).toBe(all - 6)
    const lifted = during(DAY + EVERY - 20 * MINUTE, DAY + EVERY - 12 * MINUTE, -0.9)
    expect(learn(together(base, lifted))?.cleanings).toBe(all - 1)
  })
  it('CLEANING-WASTE-2 lumps and lost purges in a fifth of them move neither value', () => {
    const lumps = together(
      during(DAY + EVERY, Infinity, 0.2),
      during(2 * DAY + EVERY, Infinity, -0.011),
      during(3 * DAY + EVERY, Infinity, 0.1),
    )
    const learned = learn(together(base, lumps))
    expect(learned?.gramsPerCleaning).toBeCloseTo(12, 0)
    expect(learned?.sigmaG).toBeLessThan(1)
  })
  it('CLEANING-WASTE-3 with no cleaning nothing is learned', () => {
    expect(learn(base, { cleaningsMs: [] })).toBeNull()
  })
  it('CLEANING-WASTE-4 what is no cleaning, and brings nothing, takes from the share', () => {
    expect(learn(base)?.broughtShare).toBe(1)
    const none = ends(5).map((ms) => ms + 2 * HOUR)
    const mixed = learn(base, { cleaningsMs: [...ends(5), ...none.slice(0, 10)].sort((a, b) => a - b) })
    expect(mixed?.gramsPerCleaning).toBeCloseTo(12, 0)
    expect(mixed?.broughtShare).toBeGreaterThan(0.7)
    expect(mixed?.broughtShare).toBeLessThan(0.8)
    expect(learn(base, { cleaningsMs: none })?.broughtShare).toBe(0)
  })
})
