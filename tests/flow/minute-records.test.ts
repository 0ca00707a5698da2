import { afterAll, describe, expect, it } from 'vitest'
import type { Episode } from '../../services/core/model/episode.ts'
import type { Reading } from '../../services/core/model/input.ts'
import { drive } from '../../services/core/study/rerun/drive.ts'
import { MINUTE_TOLERANCE } from '../../services/core/study/rerun/minute-tolerance.ts'
import { liveThrough, type Arrival } from '../parts/kernel-run.ts'
import { createPastBench, type PastBench } from '../parts/past-bench.ts'
import { arrivalsOf, TOURS, TROUBLE_END_MS, type Troubles } from '../parts/troubled-shop.ts'

const bench = createPastBench()
afterAll(() => bench.closeAll())

const MINUTE = 60_000
const EVERY_MS = 20_000

/** The troubled shop measures once a minute; here three times, each a little apart from the one before it. */
function threeAMinute(arrivals: readonly Arrival[]): readonly Arrival[] {
  return arrivals
    .flatMap(({ receivedMs, body }): Arrival[] => {
      if (body.type !== 'readings') return [{ receivedMs, body }]
      return [0, 1, 2].map((i) => {
        const later = (ms: number): number => ms + i * EVERY_MS
        const readings = body.readings.map((r) => ({ ...r, atMs: later(r.atMs), value: wiggled(r, i) }))
        return {
          receivedMs: later(receivedMs),
          body: { ...body, pack: undefined, atMs: later(body.atMs), receivedMs: later(receivedMs), readings },
        }
      })
    })
    .sort((a, b) => a.receivedMs - b.receivedMs)
}

/** By half a percent at most; a contact has no half, and what stands still stands still. */
function wiggled({ quantity, value, atMs }: Reading, i: number): number {
  if (quantity === 'powered' || i === 0) return value
  return value * (1 + (((Math.floor(atMs / MINUTE) * 7 + i * 3) % 11) - 5) / 1000)
}

function live({ book }: PastBench, tour: Troubles): void {
  const arrivals = threeAMinute(arrivalsOf(tour, false))
  book.transaction(() => liveThrough(book, arrivals, TROUBLE_END_MS))
}

function rerun({ past }: PastBench, minutesUntilMs: number): readonly Episode[] {
  return drive({
    past,
    sinceMs: past.recordBeginsMs() ?? NaN,
    toMs: TROUBLE_END_MS,
    minutesUntilMs,
    change: (settings) => settings,
    onEffect: () => undefined,
  }).episodes
}

/** Episodes of one list that have no fellow in the other: same condition and subject, sure within five minutes. */
function withoutFellow(of: readonly Episode[], among: readonly Episode[]): readonly Episode[] {
  const left = [...among]
  return of.filter((e) => {
    const at = left.findIndex(
      (o) =>
        o.condition === e.condition &&
        o.subject.id === e.subject.id &&
        Math.abs(o.openedMs - e.openedMs) <= 5 * MINUTE,
    )
    if (at !== -1) left.splice(at, 1)
    return at === -1
  })
}

describe('the past out of one-minute records', { timeout: 600_000 }, () => {
  it('PAST-4 comes out as out of every reading, but for the share that the page names', () => {
    const found = { raw: 0, other: 0, conditions: new Set<string>() }
    for (const tour of TOURS) {
      const own = bench.open()
      live(own, tour)
      const raw = rerun(own, -Infinity)
      const minutes = rerun(own, TROUBLE_END_MS)
      const other = [...withoutFellow(raw, minutes), ...withoutFellow(minutes, raw)]
      found.raw += raw.length
      found.other += other.length
      for (const { condition } of raw) found.conditions.add(condition)
      if (process.env['NIGHTCAP_TEST_SAY'])
        console.log(
          `${raw.length} out of readings, ${minutes.length} out of minutes; other: ${other.map((e) => e.id).join(', ')}`,
        )
    }
    expect(found.raw).toBeGreaterThan(40)
    expect(found.conditions.size).toBeGreaterThan(18)
    expect(found.other / found.raw).toBeLessThanOrEqual(MINUTE_TOLERANCE.mostOtherShare)
  })
})
