import type { MachineView, NightView } from '../../../services/core/model/views.ts'
import { humidityText } from './quantity-text.ts'
import { aboutTime, type ShopNow } from './shop-time.ts'

/** The night told by the air alone, where no ink is known: when it crosses the limit of dry air, or that it does not. */
export function airLead(
  { humidity: { limitPct, nowPct } }: Pick<MachineView, 'humidity'>,
  { humidityPct }: NightView,
  { now, opening }: { now: ShopNow; opening: string },
): string {
  const limit = `its limit of ${humidityText(limitPct)}`
  const ahead = humidityPct.filter(([atMs]) => atMs >= now.nowMs)
  if (ahead.length === 0) return `What the air does till ${opening} is not known.`
  if (nowPct !== null && nowPct < limitPct) {
    const back = ahead.find(([, , middle]) => middle >= limitPct)
    return back
      ? `As things stand the air is back above ${limit} about ${aboutTime(back[0], now)}.`
      : `As things stand the air stays below ${limit} till ${opening}.`
  }
  const likely = ahead.find(([, , middle]) => middle < limitPct)
  if (likely) return `As things stand the air falls below ${limit} about ${aboutTime(likely[0], now)}.`
  const possible = ahead.find(([, low]) => low < limitPct)
  return possible
    ? `The air is likely to hold till ${opening}, but may fall below ${limit} from ${aboutTime(possible[0], now)} on.`
    : `The air is likely to stay above ${limit} till ${opening}.`
}
