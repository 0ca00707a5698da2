/** [unit meant, factor as a fraction, offset]: value x times / over + plus. A fraction, so that 100 ms give 0.1 s exactly. */
type Conversion = readonly [unit: string, times: number, over: number, plus: number]

/**
 * Secondary units of RFC 8798 section 3, and from RFC 8428 section 12.1 the units it registers but advises against
 * (`g`, `l`) and `%`, which there is another name of the ratio `/` and no percentage (its note 2).
 */
const CONVERSIONS: ReadonlyMap<string, Conversion> = new Map<string, Conversion>([
  ['%', ['/', 1, 1, 0]],
  ['g', ['kg', 1, 1000, 0]],
  ['l', ['m3', 1, 1000, 0]],
  ['ms', ['s', 1, 1000, 0]],
  ['min', ['s', 60, 1, 0]],
  ['h', ['s', 3600, 1, 0]],
  ['kW', ['W', 1000, 1, 0]],
  ['kVA', ['VA', 1000, 1, 0]],
  ['kvar', ['var', 1000, 1, 0]],
  ['Ah', ['C', 3600, 1, 0]],
  ['Wh', ['J', 3600, 1, 0]],
  ['kWh', ['J', 3_600_000, 1, 0]],
  ['varh', ['vars', 3600, 1, 0]],
  ['kvarh', ['vars', 3_600_000, 1, 0]],
  ['kVAh', ['VAs', 3_600_000, 1, 0]],
  ['Wh/km', ['J/m', 36, 10, 0]],
  ['KiB', ['B', 1024, 1, 0]],
  ['mV', ['V', 1, 1000, 0]],
  ['mA', ['A', 1, 1000, 0]],
  ['dBm', ['dBW', 1, 1, -30]],
  ['ug/m3', ['kg/m3', 1, 1e9, 0]],
  ['mm/h', ['m/s', 1, 3_600_000, 0]],
  ['ppm', ['/', 1, 1e6, 0]],
  ['/100', ['/', 1, 100, 0]],
  ['hPa', ['Pa', 100, 1, 0]],
  ['mm', ['m', 1, 1000, 0]],
  ['km', ['m', 1000, 1, 0]],
  ['km/h', ['m/s', 10, 36, 0]],
])

export interface Measure {
  readonly value: number
  readonly unit: string
}

/**
 * The same quantity in its primary SenML unit. A unit that is primary already, or unknown, comes back as it is.
 *
 * @example normaliseUnit({ value: 10, unit: 'dBm' }) // { value: -20, unit: 'dBW' }
 */
export function normaliseUnit(measure: Measure): Measure {
  const conversion = CONVERSIONS.get(measure.unit)
  if (!conversion) return measure
  const [unit, times, over, plus] = conversion
  return { value: (measure.value * times) / over + plus, unit }
}
