import type { BottleView } from '../../../services/core/model/views.ts'
import { aboutTime, type ShopNow } from './shop-time.ts'

/** `Full about Tue 14:00 (Mon 20:00 to Wed 09:00)`. null when that is not within the forecast. */
export function fullWords({ fillPct, fullPct, reachesFull }: BottleView, now: ShopNow): string | null {
  if (fillPct !== null && fillPct >= fullPct) return 'Full now'
  const { earliestMs = null, likelyMs = null, latestMs = null } = reachesFull ?? {}
  if (likelyMs === null) {
    return earliestMs === null ? null : `May be full from ${aboutTime(earliestMs, now)} on`
  }
  const likely = aboutTime(likelyMs, now)
  const from = earliestMs === null ? likely : aboutTime(earliestMs, now)
  if (latestMs === null) return `Full about ${likely} (from ${from} on)`
  const to = aboutTime(latestMs, now)
  return from === to ? `Full about ${likely}` : `Full about ${likely} (${from} to ${to})`
}

/** Where the bottle is, when that is not where it belongs. */
export function standingWords({ standing }: BottleView): string | null {
  return standing === 'lifted' ? 'Not on its scale' : null
}

/** The offer of a new tare, after an emptying that left something in it. */
export function tareWords({ newTareKg }: BottleView): string | null {
  if (newTareKg === null) return null
  return `When last emptied it still weighed ${newTareKg.toFixed(2)}\u00A0kg. Take that as its new empty weight, so that what stays in it does not count as waste.`
}
