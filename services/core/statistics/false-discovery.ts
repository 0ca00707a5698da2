import { mustAllBeShares } from './check.ts'

/**
 * p-values corrected for being many, after Benjamini and Hochberg 1995 (their adjusted form: Yekutieli and Benjamini
 * 1999). Of all that stand at or below q, no more than a share q is expected to be chance; where all are chance, any
 * stands there with probability q at most. Holds for tests that do not depend on each other, or lean the same way.
 *
 * @returns one for each, in the order given; none for none.
 * @throws {RangeError} if a value is not 0 to 1.
 */
export function benjaminiHochberg(pValues: readonly number[]): number[] {
  mustAllBeShares('pValues', pValues)
  const n = pValues.length
  const order = pValues.map((_, i) => i).sort((a, b) => (pValues[b] ?? 1) - (pValues[a] ?? 1))
  const adjusted = Array.from(pValues)
  let least = 1
  order.forEach((index, place) => {
    // The factor first: rounding then cannot bring it below the value itself.
    least = Math.min(least, (pValues[index] ?? 1) * (n / (n - place)))
    adjusted[index] = least
  })
  return adjusted
}
