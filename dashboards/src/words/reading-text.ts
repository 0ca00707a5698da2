import type { SensorsView } from '../../../services/core/model/views.ts'
import type { Quantity } from '../../../services/core/model/quantity.ts'
import { humidityText, NOT_KNOWN, temperatureText, type TemperatureUnit } from './quantity-text.ts'

export const QUANTITY_WORDS: Readonly<Record<Quantity, string>> = {
  humidity: 'Humidity',
  temperature: 'Temperature',
  mass: 'Weight',
  power: 'Power drawn',
  powered: 'Power, on or off',
  voltage: 'Voltage',
  current: 'Current',
}

export const UNIT_WORDS: Readonly<Record<Quantity, string>> = {
  humidity: '%RH',
  temperature: '°C',
  mass: 'kg',
  power: 'W',
  powered: '(1 is on)',
  voltage: 'V',
  current: 'A',
}

/** The last value of a sensor with its unit, as the owner likes it. */
export function readingText(
  { quantity, lastValue, unit }: Pick<SensorsView['sensors'][number], 'quantity' | 'lastValue' | 'unit'>,
  temperatureUnit: TemperatureUnit,
): string {
  if (lastValue === null) return NOT_KNOWN
  if (quantity === 'humidity') return humidityText(lastValue)
  if (quantity === 'temperature') return temperatureText(lastValue, temperatureUnit)
  if (quantity === 'powered') return lastValue === 0 ? 'off' : 'on'
  return `${Number(lastValue.toPrecision(4))} ${unit}`
}
