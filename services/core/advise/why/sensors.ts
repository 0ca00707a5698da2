import { differenceText, quantityText } from '../../alarms/measured-text.ts'
import { durationText } from '../../model/clock-text.ts'
import type { SensorBinding } from '../../model/settings.ts'
import { trustRuleOf, type TrustRule } from '../../track/trust-rule.ts'
import type { WhyMaterial, WhyOf } from './why-words.ts'

export const sensorWhy: WhyOf<
  'sensorSilent' | 'sensorStuck' | 'sensorImplausible' | 'sensorOutOfStep' | 'readingsMissing' | 'clockAhead'
> = {
  sensorSilent: (material) => {
    const { intervals, atLeastMs } = material.limits.silent
    const intervalMs = bindingOf(material)?.intervalMs
    return {
      rule: `A sensor is silent when nothing was heard of it for ${intervals} of the intervals that it promises, and at least ${durationText(atLeastMs)}. The next word of it ends it.`,
      limit: (limits) => limits.silent,
      numbers:
        intervalMs === undefined
          ? []
          : [
              { label: 'Promised interval', value: durationText(intervalMs) },
              { label: 'Limit', value: durationText(Math.max(intervals * intervalMs, atLeastMs)) },
            ],
    }
  },
  sensorStuck: (material) => ({
    rule: `A sensor is stuck when it repeats exactly one value${stillText(ruleOf(material))}. It is believed again at the second change of its value.`,
    limit: ({ trust }) => [...ofQuantity(material, trust), trust.stillReadings],
    measured: { label: 'Repeats', text: (value) => measured(material, value) },
    numbers: [],
  }),
  sensorImplausible: (material) => ({
    rule: `A sensor is not believed when ${material.limits.trust.bad.readings} of its readings, over at least ${durationText(material.limits.trust.bad.overMs)}, ${impossibleText(material)}. It is believed again after a stretch of good readings.`,
    limit: ({ trust }) => [...ofQuantity(material, trust), trust.bad, trust.good],
    measured: { label: 'Said', text: (value) => measured(material, value) },
    numbers: rangeNumbers(material),
  }),
  sensorOutOfStep: (material) => {
    const inStep = ruleOf(material)?.inStep
    const quantity = bindingOf(material)?.quantity
    const difference = (value: number) => differenceText(value, quantity, material.settings.site)
    const apart = inStep ? ` by more than ${difference(inStep.apart)}` : ''
    const { forMs, backMs } = material.limits.trust.apart
    return {
      rule: `A sensor is out of step when it differs from the others of its room${apart} for ${durationText(forMs)}, or sooner the further apart it is. It is believed again after ${durationText(backMs)} back among them.`,
      limit: ({ trust }) => [...ofQuantity(material, trust), trust.apart],
      measured: { label: 'Differs by', text: difference },
      numbers: inStep ? [{ label: 'Limit', value: difference(inStep.apart) }] : [],
    }
  },
  readingsMissing: ({ limits: { trust } }) => ({
    rule: `Readings are missing when packs of a node have not come for ${durationText(trust.readingsMissing.forMs)}, though later ones did. It is over when they come, or when none further was missed for ${durationText(trust.readingsMissing.lostAfterMs)}: then they are lost.`,
    limit: (limits) => limits.trust.readingsMissing,
    measured: { label: 'Packs missing', text: (packs) => String(Math.round(packs)) },
    numbers: [{ label: 'Wait', value: durationText(trust.readingsMissing.forMs) }],
  }),
  clockAhead: ({ limits: { trust } }) => ({
    rule: `A clock is ahead when ${trust.clockAhead.times} packs within ${durationText(trust.clockAhead.withinMs)} were refused since they came from the future. It is over when none was refused for as long.`,
    limit: (limits) => limits.trust.clockAhead,
    measured: { label: 'Ahead by', text: (seconds) => durationText(seconds * 1000) },
    numbers: [
      {
        label: 'Limit',
        value: `${trust.clockAhead.times} packs within ${durationText(trust.clockAhead.withinMs)}`,
      },
    ],
  }),
}

function bindingOf({ episode, settings }: WhyMaterial): SensorBinding | undefined {
  return settings.sensors.find((s) => s.id === episode.subject.id)
}

function ruleOf(material: WhyMaterial): TrustRule | null {
  const binding = bindingOf(material)
  return binding ? trustRuleOf({ ...binding, validForMs: binding.intervalMs }, material.settings) : null
}

function measured(material: WhyMaterial, value: number): string {
  return quantityText(value, bindingOf(material)?.quantity, material.settings.site)
}

/** The trust limits of the sensor's own quantity; none where its quantity is not judged so. */
function ofQuantity(material: WhyMaterial, trust: WhyMaterial['limits']['trust']): unknown[] {
  const quantity = bindingOf(material)?.quantity
  return quantity === 'humidity' || quantity === 'temperature' || quantity === 'mass' ? [trust[quantity]] : []
}

function stillText(rule: TrustRule | null): string {
  const still = rule?.still
  if (!still) return ' for longer than anything real does'
  const { fineMs, coarseMs } = still
  if (coarseMs === null || coarseMs === fineMs) return ` for ${durationText(fineMs)}`
  return ` for ${durationText(fineMs)}, or for ${durationText(coarseMs)} where it tells no small steps`
}

function impossibleText(material: WhyMaterial): string {
  const plausible = ruleOf(material)?.plausible
  if (!plausible) return 'cannot be true'
  const quantity = bindingOf(material)?.quantity
  const jump = differenceText(plausible.jump, quantity, material.settings.site)
  return `lie outside ${measured(material, plausible.lowest)} to ${measured(material, plausible.highest)}, or jump by more than ${jump}`
}

function rangeNumbers(material: WhyMaterial) {
  const plausible = ruleOf(material)?.plausible
  if (!plausible) return []
  return [
    { label: 'Lowest', value: measured(material, plausible.lowest) },
    { label: 'Highest', value: measured(material, plausible.highest) },
  ]
}
