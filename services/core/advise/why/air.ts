import { forText, humidityText, temperatureText } from '../../alarms/measured-text.ts'
import type { HighLimit, LowLimit } from '../../model/settings.ts'
import type { WhyMaterial, WhyOf, WhyWords } from './why-words.ts'

interface Measure {
  /** "Dry air", as the rule begins. */
  readonly name: string
  readonly quantity: 'humidity' | 'temperature'
}

export const airWhy: WhyOf<'airDry' | 'airVeryDry' | 'airDamp' | 'roomCold' | 'roomWarm'> = {
  airDry: (material) => ({
    ...below(material, material.limits.airDryPct, { name: 'Dry air', quantity: 'humidity' }),
    limit: (limits) => limits.airDryPct,
  }),
  airVeryDry: (material) => ({
    ...below(material, material.limits.airVeryDryPct, { name: 'Very dry air', quantity: 'humidity' }),
    limit: (limits) => limits.airVeryDryPct,
  }),
  airDamp: (material) => ({
    ...above(material, material.limits.airDampPct, { name: 'Damp air', quantity: 'humidity' }),
    limit: (limits) => limits.airDampPct,
  }),
  roomCold: (material) => ({
    ...below(material, material.limits.roomColdC, { name: 'A cold room', quantity: 'temperature' }),
    limit: (limits) => limits.roomColdC,
  }),
  roomWarm: (material) => ({
    ...above(material, material.limits.roomWarmC, { name: 'A warm room', quantity: 'temperature' }),
    limit: (limits) => limits.roomWarmC,
  }),
}

type Words = Omit<WhyWords, 'limit'>

function below(material: WhyMaterial, limit: LowLimit, measure: Measure): Words {
  const text = textOf(material, measure)
  const { openBelow, closeAbove, onDelayMs, offDelayMs } = limit
  return words(measure, text, {
    opens: `below ${text(openBelow)}${forText(onDelayMs)}`,
    closes: `above ${text(closeAbove)}${forText(offDelayMs)}`,
    limit: text(openBelow),
  })
}

function above(material: WhyMaterial, limit: HighLimit, measure: Measure): Words {
  const text = textOf(material, measure)
  const { openAbove, closeBelow, onDelayMs, offDelayMs } = limit
  return words(measure, text, {
    opens: `above ${text(openAbove)}${forText(onDelayMs)}`,
    closes: `below ${text(closeBelow)}${forText(offDelayMs)}`,
    limit: text(openAbove),
  })
}

function words(
  { name, quantity }: Measure,
  text: (value: number) => string,
  { opens, closes, limit }: { opens: string; closes: string; limit: string },
): Words {
  return {
    rule: `${name} is on record when the ${quantity} stays ${opens}, and over when it stays ${closes}.`,
    measured: { label: quantity === 'humidity' ? 'Humidity' : 'Temperature', text },
    numbers: [{ label: 'Limit', value: limit }],
  }
}

function textOf({ settings }: WhyMaterial, { quantity }: Measure): (value: number) => string {
  return quantity === 'humidity' ? humidityText : (value) => temperatureText(value, settings.site)
}
