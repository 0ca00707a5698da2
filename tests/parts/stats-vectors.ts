import { readFileSync } from 'node:fs'
import { z } from 'zod'
import type { BinomialRow } from '../../services/core/statistics/logistic.ts'
import type { TwoByTwo } from '../../services/core/statistics/two-by-two.ts'

/** A file of published or recomputed figures in tests/reference, read as what the test expects to find. */
export function referenceJson<T>(file: string, schema: z.ZodType<T>): T {
  return schema.parse(JSON.parse(readFileSync(new URL(`../reference/${file}`, import.meta.url), 'utf8')))
}

export const cellsSchema = z.tuple([z.tuple([z.number(), z.number()]), z.tuple([z.number(), z.number()])])

/** Rows exposed and not, columns hit and miss. */
export function tableOf([[a, b], [c, d]]: z.infer<typeof cellsSchema>): TwoByTwo {
  return { exposedHits: a, exposedMisses: b, restHits: c, restMisses: d }
}

/** One row for each value of x. */
export function rowsOf(
  x: readonly number[],
  hits: readonly number[],
  trials: readonly number[] | number,
): BinomialRow[] {
  return x.map((v, i) => ({
    covariates: [v],
    hits: hits[i] ?? NaN,
    trials: typeof trials === 'number' ? trials : (trials[i] ?? NaN),
  }))
}
