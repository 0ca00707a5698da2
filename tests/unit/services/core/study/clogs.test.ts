import fc from 'fast-check'
import { expect, it } from 'vitest'
import { outcomesOf, type NozzleCheck } from '../../../../../services/core/study/clogs.ts'
import { checkAfter, nightDate } from '../../../../parts/study-nights.ts'

const told = (checks: readonly NozzleCheck[]): string[] =>
  outcomesOf(checks).map((o) => `${o.nightOf} ${o.isClog ? 'clog' : 'clear'}`)

it('CLOG-1 the first check after a night is its outcome, a later one of that day only tells whether it was cleared', () => {
  const cleaned = checkAfter(1, 0, { atMs: checkAfter(1, 0).atMs + 3_600_000 })
  expect(told([checkAfter(0, 0), cleaned, checkAfter(1, 4), checkAfter(2, 0)])).toEqual([
    `${nightDate(1)} clog`,
    `${nightDate(2)} clear`,
  ])
})

it('CLOG-2 CLOG-3 a clog is new after a clear check alone; then the series is out until clear again', () => {
  expect(
    told([
      checkAfter(0, 0),
      checkAfter(1, 3),
      checkAfter(2, 5),
      checkAfter(3, 0),
      checkAfter(4, 0),
      checkAfter(5, 1),
    ]),
  ).toEqual([`${nightDate(1)} clog`, `${nightDate(4)} clear`, `${nightDate(5)} clog`])
})

it('CLOG-4 before the first check nothing is known', () => {
  expect(told([checkAfter(0, 6), checkAfter(1, 0), checkAfter(2, 0)])).toEqual([`${nightDate(2)} clear`])
})

it('CLOG-5 after more than three nights without a check the next one is no outcome, clogged or clear', () => {
  expect(told([checkAfter(0, 0), checkAfter(4, 2)])).toEqual([`${nightDate(4)} clog`])
  expect(told([checkAfter(0, 0), checkAfter(5, 2)])).toEqual([])
  expect(told([checkAfter(0, 0), checkAfter(5, 0), checkAfter(6, 0)])).toEqual([`${nightDate(6)} clear`])
})

it('CLOG-6 between two clogs of a series there is always a clear check, and no night has two outcomes', () => {
  let clogs = 0
  const check = fc
    .tuple(fc.nat({ max: 30 }), fc.nat({ max: 2 }), fc.constantFrom('white', 'colour'), fc.nat({ max: 9 }))
    .map(([n, missing, channelGroupId, hour]) =>
      checkAfter(n, missing, { channelGroupId, atMs: checkAfter(n, 0).atMs + hour * 3_600_000 }),
    )
  fc.assert(
    fc.property(fc.array(check, { minLength: 20, maxLength: 60 }), (checks) => {
      const outcomes = outcomesOf(checks)
      expect(new Set(outcomes.map((o) => `${o.channelGroupId} ${o.nightOf}`)).size).toBe(outcomes.length)
      for (const group of ['white', 'colour']) {
        const own = outcomes.filter((o) => o.channelGroupId === group && o.isClog)
        clogs += own.length
        own.slice(1).forEach((clog, i) => {
          const before = own[i]?.nightOf ?? ''
          expect(
            checks.some(
              (c) =>
                c.channelGroupId === group &&
                c.missingNozzles === 0 &&
                c.nightOf >= before &&
                c.nightOf < clog.nightOf,
            ),
          ).toBe(true)
        })
      }
    }),
    { seed: 6, numRuns: 200 },
  )
  expect(clogs).toBeGreaterThan(100)
})

it('CLOG-7 what cannot be is refused by name', () => {
  expect(() => outcomesOf([checkAfter(0, NaN)])).toThrow('missingNozzles must be a whole number')
  expect(() => outcomesOf([checkAfter(0, 0, { nightOf: '1.3.2026' })])).toThrow('nightOf must be a date')
})
