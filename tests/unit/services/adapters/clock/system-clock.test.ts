import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createSystemClock } from '../../../../../services/adapters/clock/system-clock.ts'
import type { Clock } from '../../../../../services/core/model/ports/clock.ts'

const START = Date.parse('2026-11-28T20:00:00Z')
const [SECOND, HOUR, DAY] = [1000, 3_600_000, 86_400_000]
const YEAR = 365 * DAY

/** A computer whose clock somebody turns, and time that passes all the same. */
function turnable(
  startMs = START,
  notBeforeMs = 0,
): { clock: Clock; pass: (ms: number) => number; turn: (ms: number) => number } {
  let [wallMs, countMs] = [startMs, 0]
  const clock = createSystemClock({ wallMs: () => wallMs, countMs: () => countMs, notBeforeMs })
  return {
    clock,
    pass: (ms) => {
      wallMs += ms
      countMs += ms
      return clock.nowMs()
    },
    turn: (ms) => {
      wallMs += ms
      return clock.nowMs()
    },
  }
}
const doubtOf = (clock: Clock): string | null => clock.doubt?.() ?? null

describe("the monitor's clock", () => {
  it.each([HOUR, YEAR])(
    'CLOCK-1 stands still when the clock is turned back by %i ms, says so, and goes on when it has come as far',
    (backMs) => {
      const { clock, pass, turn } = turnable()
      pass(HOUR)
      expect(turn(-backMs)).toBe(START + HOUR)
      expect(pass(10 * SECOND)).toBe(START + HOUR)
      expect(doubtOf(clock)).toMatch(/behind what was recorded last.*stands still.*set the clock right/)
      expect(doubtOf(clock)?.includes('put back a backup')).toBe(backMs === YEAR)
      expect(turn(backMs)).toBe(START + HOUR + 10 * SECOND)
      expect(doubtOf(clock)).toBeNull()
    },
  )

  it('CLOCK-1 a start whose clock is behind the book of record does not begin before it', () => {
    const { clock, pass } = turnable(START, START + HOUR)
    expect(pass(10 * SECOND)).toBe(START + HOUR)
    expect(doubtOf(clock)).toMatch(/60 min behind/)
    expect(pass(HOUR)).toBe(START + HOUR + 10 * SECOND)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-1 a correction of some seconds is nothing to tell', () => {
    const { clock, turn } = turnable()
    clock.nowMs()
    turn(-3 * SECOND)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-2 follows an hour and six days ahead at once', () => {
    const { clock, turn } = turnable()
    clock.nowMs()
    expect(turn(HOUR)).toBe(START + HOUR)
    expect(turn(6 * DAY)).toBe(START + HOUR + 6 * DAY)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-3 a leap of a year is not followed: it counts on, says so, and is well again when the clock is', () => {
    const { clock, pass, turn } = turnable()
    pass(HOUR)
    expect(turn(YEAR)).toBe(START + HOUR)
    expect(pass(HOUR)).toBe(START + 2 * HOUR)
    expect(doubtOf(clock)).toMatch(
      /leapt ahead by 365 days.*own count: set the clock right; if it is right, start Nightcap again/,
    )
    expect(turn(-YEAR)).toBe(START + 2 * HOUR)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-3 a clock that was turned back by a year and is put right an hour later is followed', () => {
    const { clock, pass, turn } = turnable()
    pass(HOUR)
    turn(-YEAR)
    pass(HOUR)
    expect(turn(YEAR)).toBe(START + 2 * HOUR)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-3 a start long after the last one is believed', () => {
    const { clock } = turnable(START, START - YEAR)
    expect([clock.nowMs(), doubtOf(clock)]).toEqual([START, null])
  })

  it('CLOCK-4 a clock that was never set is told, and followed when it is set', () => {
    const { clock, turn } = turnable(10 * SECOND)
    expect(clock.nowMs()).toBe(10 * SECOND)
    expect(doubtOf(clock)).toMatch(/never set/)
    expect(turn(START)).toBe(START + 10 * SECOND)
    expect(doubtOf(clock)).toBeNull()
  })

  it('CLOCK-1 whatever is done to the clock, its time never goes back', () => {
    let turned = 0
    const move = fc.record({ passMs: fc.nat(2 * DAY), turnMs: fc.integer({ min: -2 * YEAR, max: 2 * YEAR }) })
    fc.assert(
      fc.property(fc.array(move, { minLength: 1, maxLength: 30 }), (moves) => {
        const { clock, pass, turn } = turnable()
        let lastMs = clock.nowMs()
        for (const { passMs, turnMs } of moves) {
          for (const now of [pass(passMs), turn(turnMs)]) {
            expect(now).toBeGreaterThanOrEqual(lastMs)
            lastMs = now
          }
          if (doubtOf(clock) !== null) turned++
        }
      }),
    )
    expect(turned).toBeGreaterThan(100)
  })
})
