import { describe, expect, it } from 'vitest'
import {
  askedAt,
  floodAt,
  floodEndMs,
  NO_FLOOD,
  type Flood,
} from '../../../../../services/core/alarms/flood.ts'
import { floodsOf } from '../../../../../services/core/alarms/measures/load.ts'

const MIN = 60_000
const after = (times: readonly number[]): Flood => times.reduce(askedAt, NO_FLOOD)
const every = (n: number, stepMs: number, fromMs = 0) =>
  Array.from({ length: n }, (_, i) => fromMs + i * stepMs)

describe('an alarm flood', () => {
  // Begins with more than 10 in ten minutes and ends with fewer than 5 (a trade article quoting the standard); sources
  // differ on 10 itself, so 11 and 9 are tested.
  it('FLOOD-1 begins with the eleventh within ten minutes; nine are none', () => {
    expect(after(every(9, MIN / 2)).sinceMs).toBeNull()
    expect(after(every(11, MIN / 2)).sinceMs).toBe(10 * (MIN / 2))
  })
  it('FLOOD-1 eleven over more than ten minutes are none', () => {
    expect(after(every(11, MIN)).sinceMs).toBeNull()
  })
  it('FLOOD-2 ends when fewer than five came within ten minutes, and that time is known before', () => {
    const flood = after(every(11, MIN / 2))
    // The fifth newest came at 3 min.
    expect(floodEndMs(flood)).toBe(13 * MIN)
    expect(floodAt(flood, 13 * MIN - 1).sinceMs).not.toBeNull()
    expect(floodAt(flood, 13 * MIN).sinceMs).toBeNull()
    expect(floodEndMs(NO_FLOOD)).toBe(Infinity)
  })
  it('FLOOD-2 as long as five keep coming it lasts', () => {
    const flood = after([...every(11, 1000), ...every(20, 100_000, MIN)])
    expect(flood.sinceMs).toBe(10_000)
    expect(flood.askedMs.length).toBe(6)
  })
  it('a flood of the past is found by the same rules, and one under way ends with the window', () => {
    const times = [...every(11, 1000), ...every(12, 1000, 60 * MIN)]
    expect(floodsOf(times, 61 * MIN)).toEqual([
      { fromMs: 10_000, toMs: 10 * MIN + 6000 },
      { fromMs: 60 * MIN + 10_000, toMs: 61 * MIN },
    ])
    expect(floodsOf(every(9, 1000), MIN)).toEqual([])
  })
})
