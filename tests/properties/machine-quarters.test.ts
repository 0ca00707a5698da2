import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { MachineQuarter } from '../../services/core/model/quarter.ts'
import { liveThrough, packInput, settingsInput, type Arrival } from '../parts/kernel-run.ts'
import { createMemoryRecords } from '../parts/memory-book-of-record.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { arrivalsOf, TOURS, TROUBLE_END_MS, troubles } from '../parts/troubled-shop.ts'

/** What is noted of the one machine of the troubled shop, after it lived through the arrivals. */
function quartersOf(
  arrivals: readonly Arrival[],
  options: { tickEveryMs?: number } = {},
): readonly MachineQuarter[] {
  const { book, facts } = createMemoryRecords()
  liveThrough(book, arrivals, TROUBLE_END_MS, options)
  return facts.machineQuarters({ machineId: 'roll', fromMs: -Infinity, toMs: TROUBLE_END_MS })
}

/** How many quarters showed each thing: a law over quarters in which nothing happens proves nothing. */
function createReach() {
  const seen = { quarters: 0, off: 0, printing: 0, cleaning: 0, uncapped: 0, certain: 0 }
  return {
    seen,
    note: (quarters: readonly MachineQuarter[]): void => {
      for (const q of quarters) {
        seen.quarters++
        if (q.seconds.off) seen.off++
        if (q.seconds.printing) seen.printing++
        if (q.cleanings > 0) seen.cleaning++
        if (q.uncappedS > 0) seen.uncapped++
        if (q.inks.some((i) => i.certainKpaH !== null)) seen.certain++
      }
    },
  }
}

describe('noted quarters of an hour', { timeout: 900_000 }, () => {
  it('STEP-2 one that was noted is noted anew when a reading from before its end comes after it', () => {
    const at = (minutes: number): number => Date.UTC(2026, 4, 4, 10) + minutes * 60_000
    const humidity = (minutes: number, value: number) => ({
      atMs: at(minutes),
      reading: { sensorId: 'bench/humidity', quantity: 'humidity' as const, atMs: at(minutes), value },
    })
    // The first that comes late makes the machine keep its last minutes; the second comes from just before a quarter.
    const taken = [0, 4, 8, 12, 16, 20, 24, 28].map((m) => humidity(m, 45))
    const [early, late] = [humidity(15.5, 44), humidity(29.9, 60)]
    const end = humidity(33, 45)
    const told = (order: readonly ReturnType<typeof humidity>[]): readonly MachineQuarter[] => {
      const settings = { receivedMs: at(-1), body: settingsInput(testSettings(), at(-1)) }
      const arrivals = order.map(({ atMs, reading }, i) => {
        const receivedMs = Math.max(atMs, ...order.slice(0, i).map((o) => o.atMs)) + 1
        return { receivedMs, body: packInput(receivedMs, [reading]) }
      })
      const { book, facts } = createMemoryRecords()
      liveThrough(book, [settings, ...arrivals], at(40))
      return facts.machineQuarters({ machineId: 'roll', fromMs: -Infinity, toMs: at(60) })
    }
    const inOrder = told([...taken, early, late, end].sort((a, b) => a.atMs - b.atMs))
    expect(inOrder.map((q) => q.deficitKpa)).toEqual([expect.closeTo(1.454, 2), expect.closeTo(1.058, 2)])
    expect(told([...taken.slice(0, 6), early, ...taken.slice(6), end, late])).toEqual(inOrder)
  })

  it('STEP-2 and STEP-3 are the same in any order of arrival, and however often the clock is looked at', () => {
    const reach = createReach()
    fc.assert(
      fc.property(troubles, fc.integer({ min: 30_000, max: 600_000 }), (t, tickEveryMs) => {
        const inOrder = quartersOf(arrivalsOf(t, false))
        reach.note(inOrder)
        expect(quartersOf(arrivalsOf(t, true))).toEqual(inOrder)
        expect(quartersOf(arrivalsOf(t, false), { tickEveryMs })).toEqual(inOrder)
      }),
      { numRuns: 4, examples: TOURS.map((t, i) => [t, 60_000 + 47_000 * i]) },
    )
    // The tours by hand meet each of them, whatever chance adds.
    for (const [what, times] of Object.entries(reach.seen)) expect([what, times > 0]).toEqual([what, true])
  })

  it('hold as many seconds as they are long, and never more of one thing', () => {
    const reach = createReach()
    fc.assert(
      fc.property(troubles, (t) => {
        const quarters = quartersOf(arrivalsOf(t, true))
        reach.note(quarters)
        for (const q of quarters) {
          const all = Object.values(q.seconds).reduce((a, b) => a + b, 0)
          expect(all).toBeLessThanOrEqual(900.001)
          expect(q.uncappedS).toBeLessThanOrEqual(900)
        }
        const ends = quarters.map((q) => q.endMs)
        expect(ends).toEqual([...new Set(ends)].sort((a, b) => a - b))
        expect(ends.every((ms) => ms % 900_000 === 0)).toBe(true)
      }),
      { numRuns: 3, examples: TOURS.map((t) => [t]) },
    )
    expect(reach.seen.quarters).toBeGreaterThan(50)
  })
})
