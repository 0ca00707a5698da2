import fc from 'fast-check'
import { afterEach, describe, expect, it } from 'vitest'
import { drive } from '../../services/core/study/rerun/drive.ts'
import { episodeFacts, liveThrough } from '../parts/kernel-run.ts'
import { createPastBench } from '../parts/past-bench.ts'
import { arrivalsOf, TOURS, TROUBLE_END_MS, troubles } from '../parts/troubled-shop.ts'

const bench = createPastBench()
afterEach(bench.closeAll)

describe('a re-run under unchanged settings', { timeout: 900_000 }, () => {
  it('RERUN-1 finds the episodes on record, readings that came late included', () => {
    const reached = { episodes: 0, late: 0, settings: 0, conditions: new Set<string>() }
    fc.assert(
      fc.property(troubles, (t) => {
        const { book, reader, past } = bench.open()
        // One commit for all: it is the log that is wanted here, and not its safety.
        const log = book.transaction(() => liveThrough(book, arrivalsOf(t, true), TROUBLE_END_MS))
        const sinceMs = past.recordBeginsMs() ?? NaN
        let dropped = 0
        const driven = drive({
          past,
          sinceMs,
          toMs: TROUBLE_END_MS,
          minutesUntilMs: -Infinity,
          change: (settings) => settings,
          onEffect: (effect) => {
            if (effect.type === 'subjectSnapshotsDropped') dropped++
          },
        })
        const onRecord = reader.episodes({ fromMs: 0, toMs: TROUBLE_END_MS })
        expect(episodeFacts(driven.episodes)).toEqual(episodeFacts(onRecord))
        expect(driven.readings).toBe(reader.counts().readings)
        expect(driven.actsDropped).toBe(0)
        reached.episodes += onRecord.length
        for (const { condition } of onRecord) reached.conditions.add(condition)
        reached.late += dropped
        reached.settings += log.filter((body) => body.type === 'settings').length - 1
        bench.closeAll()
      }),
      { numRuns: 3, examples: TOURS.map((t) => [t]) },
    )
    expect(reached.episodes).toBeGreaterThan(60)
    expect(reached.conditions.size).toBeGreaterThan(20)
    expect(reached.late).toBeGreaterThan(50)
    expect(reached.settings).toBeGreaterThan(0)
  })
})
