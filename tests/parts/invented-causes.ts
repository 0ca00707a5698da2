import type { CausesView } from '../../services/core/model/causes-view.ts'
import type { KeptVerdict } from '../../services/core/model/ports/night-store.ts'
import { causesPage } from '../../services/core/study/causes-page.ts'
import { sortedChecks } from '../../services/core/study/clogs.ts'
import { joinNights } from '../../services/core/study/nights.ts'
import type { SeriesName, ShopSeries } from '../../services/core/study/shop-series.ts'
import { simulateClogShop, type ClogShop } from '../scorecard/clog-shops.ts'
import { SHOP_NOW_MS } from './invented-shop.ts'
import { testSettings } from './shop-settings.ts'

const SHOPS = {
  /** Half a year, and a handful of clogs: too few for anything. */
  few: { machines: 2, days: 180, clogShare: 0.006, dryFactor: 1.6, seed: 4 },
  /** Two years in which dry nights clog more. */
  many: { machines: 3, days: 730, clogShare: 0.02, dryFactor: 2.2, seed: 11 },
} as const satisfies Record<string, ClogShop>

const pages = new Map<keyof typeof SHOPS, CausesView>()

/** The page Causes of an invented shop, worked out by the real statistics, once. */
export function inventedCauses(which: keyof typeof SHOPS): CausesView {
  const known = pages.get(which)
  if (known) return known
  const frozen = which === 'few' ? [] : FROZEN
  const page = causesPage({
    shop: inventedSeries(SHOPS[which]),
    settings: testSettings(),
    frozen,
    question: { from: null, to: null, machineId: null },
    nowMs: SHOP_NOW_MS,
  })
  pages.set(which, page)
  return page
}

/** Every 23rd night is one on which somebody was told and did something. */
export function inventedSeries(shop: ClogShop): ShopSeries {
  const { exposures, checks } = simulateClogShop(shop)
  const nights = exposures.map((n, i) => ({ ...n, actedUpon: i % 23 === 7 }))
  const sorted = sortedChecks(checks)
  const names = new Map<string, SeriesName>(
    nights.map(({ headId, channelGroupId }) => [
      channelGroupId,
      { machineId: channelGroupId.split('-')[0] ?? '', headId, channelGroupId, sinceMs: null },
    ]),
  )
  return {
    ...sorted,
    series: joinNights(nights, sorted.outcomes),
    names,
    checks: checks.length,
    onSuspicion: checks.filter((c) => c.why === 'suspicion').length,
  }
}

const FROZEN: readonly KeptVerdict[] = [
  {
    month: '2024-12',
    fromDay: Date.parse('2025-01-01') / 86_400_000,
    frozenMs: Date.parse('2025-01-01T11:00:00Z'),
    modelVersion: '1, dry below 40 %RH',
    verdict: {
      exposure: 'minHumidityPct',
      kind: 'goesTogether',
      direction: -1,
      text: 'New clogs came more often after nights with drier air (58 clogs in 1903 nights). That does not yet show the cause.',
    },
  },
]
