import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Finding } from '../../../../../services/core/detect/detector.ts'
import {
  fireReadingsMissing,
  initialReadingsMissing,
  noteMissing,
  readingsMissingDeadlineMs,
} from '../../../../../services/core/detect/readings-missing.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const RULE = { forMs: 5 * MINUTE, lostAfterMs: 24 * HOUR }

/** So many packs missing, told at these minutes; deadlines before each are fired, then all until the end. */
function run(told: readonly (readonly [number, number])[], untilMin: number) {
  const state = initialReadingsMissing()
  const found: Finding[] = []
  const keep = (finding: Finding | null): void => {
    if (finding) found.push(finding)
  }
  const fire = (beforeMs: number): void => {
    const due = () => readingsMissingDeadlineMs(state, RULE)
    for (let at = due(); at < beforeMs; at = due()) keep(fireReadingsMissing(state, at))
  }
  for (const [minute, missing] of told) {
    fire(minute * MINUTE)
    keep(noteMissing(state, missing, minute * MINUTE))
    expect(JSON.parse(JSON.stringify(state))).toEqual(state)
  }
  fire(untilMin * MINUTE)
  return { found, state }
}

describe('readings missing', () => {
  it('MISSING-1 opens when packs stayed missing for five minutes, dated to when the first was found missing', () => {
    expect(
      run(
        [
          [10, 2],
          [12, 3],
        ],
        20,
      ).found,
    ).toEqual([{ type: 'opened', fromMs: 10 * MINUTE, openedMs: 15 * MINUTE, value: 3, worst: 3 }])
  })
  it('MISSING-1 packs that come within five minutes were only late', () => {
    expect(
      run(
        [
          [10, 2],
          [14, 0],
          [30, 1],
          [34, 0],
        ],
        60,
      ).found,
    ).toEqual([])
  })
  it('MISSING-2 closes when none is missing, with the most that were', () => {
    expect(
      run(
        [
          [10, 2],
          [16, 5],
          [20, 1],
          [40, 0],
        ],
        60,
      ).found,
    ).toEqual([
      { type: 'opened', fromMs: 10 * MINUTE, openedMs: 15 * MINUTE, value: 2, worst: 2 },
      { type: 'closed', toMs: 40 * MINUTE, closedMs: 40 * MINUTE, worst: 5 },
    ])
  })
  it('MISSING-3 what is still missing a day after the last was found missing is lost: closed, but counted', () => {
    const { found, state } = run(
      [
        [10, 2],
        [70, 3],
      ],
      48 * 60,
    )
    expect(found).toEqual([
      { type: 'opened', fromMs: 10 * MINUTE, openedMs: 15 * MINUTE, value: 2, worst: 2 },
      { type: 'closed', toMs: 70 * MINUTE + 24 * HOUR, closedMs: 70 * MINUTE + 24 * HOUR, worst: 3 },
    ])
    expect(state).toMatchObject({ missing: 3, lost: 3, open: false })
  })
  it('MISSING-3 lost packs open nothing again; further ones do, and are told without them', () => {
    const told = [
      [10, 3],
      [3000, 3],
      [3010, 5],
    ] as const
    expect(run(told, 3020).found.slice(2)).toEqual([
      { type: 'opened', fromMs: 3010 * MINUTE, openedMs: 3015 * MINUTE, value: 2, worst: 2 },
    ])
  })
  it('MISSING-3 a node that starts anew, or a pack that comes after all, takes from the lost', () => {
    const { state } = run(
      [
        [10, 3],
        [3000, 1],
        [3010, 1],
      ],
      3100,
    )
    expect(state).toMatchObject({ missing: 1, lost: 1, open: false })
    expect(
      run(
        [
          [10, 3],
          [3000, 0],
          [3010, 1],
        ],
        3016,
      ).found.map((f) => f.type),
    ).toEqual(['opened', 'closed', 'opened'])
  })
  it('MISSING-1 MISSING-2 whatever comes, openings and closings take turns and none closes before it opened', () => {
    let reached = 0
    const told = fc.array(fc.tuple(fc.integer({ min: 0, max: 4000 }), fc.integer({ min: 0, max: 4 })), {
      maxLength: 30,
    })
    fc.assert(
      fc.property(told, (list) => {
        const { found } = run(
          [...list].sort(([a], [b]) => a - b),
          9000,
        )
        found.forEach((finding, i) => {
          expect(finding.type).toBe(i % 2 === 0 ? 'opened' : 'closed')
          const before = found[i - 1]
          if (finding.type !== 'closed' || before?.type !== 'opened') return
          reached++
          expect(finding.closedMs).toBeGreaterThanOrEqual(before.openedMs)
        })
        expect(found.length % 2).toBe(0)
      }),
    )
    expect(reached).toBeGreaterThan(50)
  })
})
