/** Ends between which a function that rises passes 0. */
export interface Bracket {
  readonly low: number
  readonly high: number
  /** At most this wide at the end, in absolute terms up to 1 and relative beyond. */
  readonly tolerance: number
}

const MOST_STEPS = 200

/**
 * Where a rising function passes 0: chords that halve the end that stays (the Illinois rule; Dowell and Jarratt 1971),
 * and every third step a halving, so that it is quick on smooth functions and certain on all.
 *
 * @param f at most 0 at `low` and at least 0 at `high`; infinite values are taken for their sign.
 */
export function rootBetween(f: (x: number) => number, { low, high, tolerance }: Bracket): number {
  let [a, b] = [low, high]
  let [fa, fb] = [f(a), f(b)]
  for (let step = 0; step < MOST_STEPS && b - a > tolerance * Math.max(1, Math.abs(b)); step++) {
    const chord = a + ((b - a) * -fa) / (fb - fa)
    const x = step % 3 === 2 || !(chord > a && chord < b) ? (a + b) / 2 : chord
    const fx = f(x)
    if (fx === 0) return x
    if (fx < 0) {
      ;[a, fa] = [x, fx]
      if (step % 3 !== 2) fb /= 2
    } else {
      ;[b, fb] = [x, fx]
      if (step % 3 !== 2) fa /= 2
    }
  }
  return (a + b) / 2
}
