import type { Settings } from '../../../services/core/model/settings.ts'
import type { SensorsView } from '../../../services/core/model/views.ts'
import type { LiveReading } from '../strip/live-tail.ts'
import { humidityText } from './quantity-text.ts'
import { durationText } from './shop-time.ts'

/**
 * What a shop that was just set up will hear first, in sentences.
 *
 * FIRST-1 dry air that is measured now is told with its limit and with the delay after which the board says so.
 * FIRST-2 without a humidity that was heard nothing is said of the air.
 * FIRST-3 as long as no sensor has a place nothing is watched, and it is said so.
 */
export function firstWords(
  settings: Settings,
  view: SensorsView | null,
  latest: ReadonlyMap<string, LiveReading>,
): string[] {
  if (settings.sensors.length === 0) return ['Nightcap cannot watch yet: no sensor has been given its place.']
  const { openBelow, onDelayMs } = settings.limits.airDryPct
  const rooms = settings.rooms.flatMap(({ id, title }) => {
    const sensor = settings.sensors.find(
      (s) => s.quantity === 'humidity' && s.subject.kind === 'room' && s.subject.id === id,
    )
    const heard = view?.sensors.find((s) => s.id === sensor?.id)?.lastValue ?? null
    const value = (sensor && latest.get(sensor.id)?.value) ?? heard
    if (value === null) return []
    const now = `${title} has ${humidityText(value)} now.`
    return value < openBelow
      ? `${now} That is below ${openBelow} %RH: if it stays so for ${durationText(onDelayMs)}, the board says that the air is too dry, and what to do.`
      : `${now} Below ${openBelow} %RH for ${durationText(onDelayMs)}, the board would say that the air is too dry.`
  })
  return ['Nightcap watches from now on.', ...rooms]
}
