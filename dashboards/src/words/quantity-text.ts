import type { BoardView } from '../../../services/core/model/views.ts'

export type TemperatureUnit = BoardView['site']['temperatureUnit']
export type VolumeUnit = BoardView['site']['volumeUnit']

/** One US fluid ounce in mL (NIST Handbook 44, appendix C). */
const ML_PER_FL_OZ = 29.573_529_562_5
/** Between a number and its unit: they never part at the end of a line. */
export const NBSP = '\u00A0'

export const NOT_KNOWN = 'not known'

export function temperatureText(temperatureC: number | null, unit: TemperatureUnit): string {
  if (temperatureC === null) return NOT_KNOWN
  const value = unit === 'degF' ? (temperatureC * 9) / 5 + 32 : temperatureC
  return `${fixed(value, 1)}${NBSP}°${unit === 'degF' ? 'F' : 'C'}`
}

export function volumeText(volumeMl: number | null, unit: VolumeUnit): string {
  if (volumeMl === null) return NOT_KNOWN
  if (unit === 'mL') return `${fixed(volumeMl, 0)}${NBSP}mL`
  return `${fixed(volumeMl / ML_PER_FL_OZ, 1)}${NBSP}fl${NBSP}oz`
}

export function percentText(valuePct: number | null): string {
  return valuePct === null ? NOT_KNOWN : `${fixed(valuePct, 0)}${NBSP}%`
}

export function humidityText(humidityPct: number | null): string {
  return humidityPct === null ? NOT_KNOWN : `${fixed(humidityPct, 0)}${NBSP}%RH`
}

export function pressureText(pressureKpa: number | null): string {
  return pressureKpa === null ? NOT_KNOWN : `${fixed(pressureKpa, 2)}${NBSP}kPa`
}

/** Water by its weight: a kilogram is a litre. `2.1 L`, `40 mL`, `71 fl oz`; no finer than a can can be filled. */
export function waterText(waterKg: number, unit: VolumeUnit): string {
  const volumeMl = waterKg * 1000
  if (unit === 'fl oz') return `${Number((volumeMl / ML_PER_FL_OZ).toPrecision(2))}${NBSP}fl${NBSP}oz`
  return volumeMl >= 100 ? `${fixed(volumeMl / 1000, 1)}${NBSP}L` : `${fixed(volumeMl, 0)}${NBSP}mL`
}

/** A forecast share, to the nearest 5 %: a finer number would say more than is known. */
export function roundPercent(valuePct: number): string {
  return `${Math.round(valuePct / 5) * 5}${NBSP}%`
}

/** `1 thing`, `2 things`. */
export function countText(count: number, one: string, many: string): string {
  return `${count}${NBSP}${count === 1 ? one : many}`
}

/** A sentence from the monitor with its numbers tied to their units, so that no line ends between the two. */
export function unbroken(text: string): string {
  return text.replace(/(\d) (?=[%°]|(?:mL|L|fl oz|kPa|kg|g|W|min|h|s)\b)/g, `$1${NBSP}`)
}

/** No minus before a zero: -0.04 is `0.0`. */
function fixed(value: number, digits: number): string {
  return value.toFixed(digits).replace(/^-(0(?:\.0*)?)$/, '$1')
}
