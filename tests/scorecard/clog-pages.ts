import { causesOf, type CausesPage } from '../../services/core/study/causes.ts'
import { outcomesOf } from '../../services/core/study/clogs.ts'
import { joinNights } from '../../services/core/study/nights.ts'
import { simulateClogShop, type ClogShop } from './clog-shops.ts'

/** Limits of the invented shops: those a fresh installation would draw. */
export const LIMITS = { minHumidityPct: 40, doseKpaH: 19, darkHours: 2 } as const

/** The page of a simulated shop. */
export function pageOf(shop: ClogShop, draws: number): CausesPage {
  const { exposures, checks } = simulateClogShop(shop)
  const nights = joinNights(exposures, outcomesOf(checks))
  return causesOf(nights, { limits: LIMITS, resampling: draws > 0 ? { draws, seed: shop.seed } : null })
}

/** Whether any verdict of the page claims something. */
export function isClaiming(page: CausesPage): boolean {
  return page.rows.some((r) => r.verdict.direction !== 0)
}

/** Whether the planted cause was named: dry air, more drying or more hours of dry air. */
export function namesDryness(page: CausesPage): boolean {
  return page.rows.some(
    ({ exposure, verdict }) =>
      ['doseKpaH', 'minHumidityPct', 'hoursBelowPct'].includes(exposure) && verdict.kind === 'goesTogether',
  )
}

/** New clogs that counted. */
export function clogsOn(page: CausesPage): number {
  return page.rows.reduce((most, r) => Math.max(most, r.clogs), 0)
}
