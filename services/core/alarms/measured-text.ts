import { durationText } from '../model/clock-text.ts'
import type { Quantity } from '../model/quantity.ts'
import type { Bottle, Settings } from '../model/settings.ts'

/** Numbers as a person reads them, with the unit that the owner likes. */

type Units = Pick<Settings['site'], 'temperatureUnit' | 'volumeUnit'>

/** A US fluid ounce in mL (NIST Handbook 44, appendix C). */
const ML_PER_FL_OZ = 29.5735295625

/** One decimal at most, and none where it says nothing: `36`, `39.6`. */
export function numberText(value: number): string {
  // Adding zero turns minus zero into zero.
  return String(Math.round(value * 10) / 10 + 0)
}

export function humidityText(humidityPct: number): string {
  return `${numberText(humidityPct)} %RH`
}

export function percentText(pct: number): string {
  return `${Math.round(pct)} %`
}

export function temperatureText(temperatureC: number, { temperatureUnit }: Units): string {
  return temperatureUnit === 'degF'
    ? `${numberText((temperatureC * 9) / 5 + 32)} °F`
    : `${numberText(temperatureC)} °C`
}

/** A difference between two temperatures: 5 K are 9 °F. */
export function temperatureStepText(stepK: number, { temperatureUnit }: Units): string {
  return temperatureUnit === 'degF' ? `${numberText((stepK * 9) / 5)} °F` : `${numberText(stepK)} °C`
}

export function volumeText(volumeMl: number, { volumeUnit }: Units): string {
  return volumeUnit === 'fl oz'
    ? `${numberText(volumeMl / ML_PER_FL_OZ)} fl oz`
    : `${Math.round(volumeMl)} mL`
}

/** Grams on the scale and what they are as volume: `63 g (60 mL)`; grams alone where the bottle is not known. */
export function wasteText(grams: number, bottle: Bottle | undefined, units: Units): string {
  const massText = `${Math.round(grams)} g`
  return bottle ? `${massText} (${volumeText(grams / bottle.densityKgPerL, units)})` : massText
}

export function hoursText(hours: number): string {
  return durationText(hours * 3_600_000)
}

/** `for 10 min`, with a space before it; nothing where there is no delay. */
export function forText(delayMs: number): string {
  return delayMs === 0 ? '' : ` for ${durationText(delayMs)}`
}

/** What a sensor of this quantity said, in the owner's units. */
export function quantityText(value: number, quantity: Quantity | undefined, units: Units): string {
  switch (quantity) {
    case 'humidity':
      return humidityText(value)
    case 'temperature':
      return temperatureText(value, units)
    case 'mass':
      return `${Math.round(value * 1000) / 1000 + 0} kg`
    case 'power':
      return `${numberText(value)} W`
    case 'powered':
      return value === 0 ? 'off' : 'on'
    case 'voltage':
      return `${numberText(value)} V`
    case 'current':
      return `${numberText(value)} A`
    case undefined:
      return numberText(value)
  }
}

/** How far two sensors of one quantity are apart, without its sign. */
export function differenceText(difference: number, quantity: Quantity | undefined, units: Units): string {
  const apart = Math.abs(difference)
  return quantity === 'temperature' ? temperatureStepText(apart, units) : quantityText(apart, quantity, units)
}
