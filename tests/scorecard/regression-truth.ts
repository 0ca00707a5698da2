import { firthFit } from '../../services/core/statistics/firth.ts'
import { shareAt } from '../../services/core/statistics/logistic.ts'
import { seededDraw } from '../../services/core/statistics/random.ts'

export interface RegressionScore {
  readonly runs: number
  readonly covered: number
  /** Runs without a fit or without an interval: counted as not covered. */
  readonly lost: number
  readonly openEnds: number
  readonly meanHits: number
}

/** Nights with an exposure that truly raises the odds of a clog; is the true slope within the interval of 95 %? */
export function scoreRegression({
  runs,
  nights,
  intercept,
  slope,
  seed,
}: {
  readonly runs: number
  readonly nights: number
  readonly intercept: number
  readonly slope: number
  readonly seed: number
}): RegressionScore {
  const draw = seededDraw(seed)
  let [covered, lost, openEnds, hitsInAll] = [0, 0, 0, 0]
  for (let run = 0; run < runs; run++) {
    const rows = Array.from({ length: nights }, () => {
      // Sum of three: rounded like a bell, and bounded.
      const x = 2 * (draw() + draw() + draw()) - 3
      return { covariates: [x], hits: draw() < shareAt(intercept + slope * x) ? 1 : 0, trials: 1 }
    })
    hitsInAll += rows.filter((r) => r.hits === 1).length
    const fit = firthFit(rows, 0.95)
    const interval = fit.converged ? fit.intervals[0] : null
    if (interval === null || interval === undefined) {
      lost++
      continue
    }
    if (!Number.isFinite(interval.low) || !Number.isFinite(interval.high)) openEnds++
    if (interval.low <= slope && slope <= interval.high) covered++
  }
  return { runs, covered, lost, openEnds, meanHits: hitsInAll / runs }
}
