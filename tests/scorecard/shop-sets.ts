import { FINAL, TUNING, type ShopRanges } from '../../sensors/simulator/plan-ranges.ts'

/** The limits and rules may be looked at again after a run on the first; the second is for the verdict. */
export const SHOP_SETS: Readonly<Record<'tuning' | 'final', ShopRanges>> = { tuning: TUNING, final: FINAL }
export type ShopSet = keyof typeof SHOP_SETS
export const SCORED_DAYS = 30
