import type { RoomView } from '../../../services/core/model/views.ts'
import { humidityText, waterText, type VolumeUnit } from './quantity-text.ts'

/** Less than this is no water anybody would carry. */
const A_SIP_KG = 0.005

/**
 * The water that brings a room to its target and holds it there. null when that is not known, or nothing is needed.
 * The sum counts the air alone: film, paper and walls take up water too.
 */
export function waterWords(
  { targetPct, waterToLiftKg, waterToHoldKgPerH }: RoomView,
  unit: VolumeUnit,
): string | null {
  const target = humidityText(targetPct)
  const lift = waterToLiftKg !== null && waterToLiftKg > A_SIP_KG ? waterText(waterToLiftKg, unit) : null
  const isHeld = waterToHoldKgPerH !== null && waterToHoldKgPerH <= A_SIP_KG
  const hold = waterToHoldKgPerH === null || isHeld ? null : waterText(waterToHoldKgPerH, unit)
  if (lift && hold)
    return `${lift} of water lift its air to ${target} once; holding it takes about ${hold} an hour.`
  if (lift && isHeld) return `${lift} of water lift its air to ${target} once; then it holds by itself.`
  if (lift) return `${lift} of water lift its air to ${target} once.`
  return hold && waterToLiftKg !== null ? `Holding ${target} takes about ${hold} of water an hour.` : null
}
