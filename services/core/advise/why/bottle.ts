import { forText, percentText, volumeText, wasteText } from '../../alarms/measured-text.ts'
import { durationText } from '../../model/clock-text.ts'
import type { Bottle, HighLimit } from '../../model/settings.ts'
import type { WhyMaterial, WhyNumber, WhyOf, WhyWords } from './why-words.ts'

export const bottleWhy: WhyOf<
  'bottleNear' | 'bottleFull' | 'bottleWillFill' | 'bottleMissing' | 'bottleLosingWeight' | 'wasteNotArriving'
> = {
  bottleNear: (material) => ({
    ...fill(material, material.limits.bottleNearPct, 'nearly full'),
    limit: (limits) => limits.bottleNearPct,
  }),
  bottleFull: (material) => ({
    ...fill(material, material.limits.bottleFullPct, 'full'),
    limit: (limits) => limits.bottleFullPct,
  }),
  bottleWillFill: (material) => {
    const { forecast, bottleFullPct } = material.limits
    const full = percentText(bottleFullPct.openAbove)
    const [list, wake] = [forecast.listProbability, forecast.wakeProbability].map((p) => percentText(p * 100))
    return {
      rule: `It is on record when the bottle reaches ${full} before the next opening with a probability of at least ${list}, by the way it usually fills. It wakes somebody from ${wake} on.`,
      limit: (limits) => [limits.forecast, limits.bottleFullPct.openAbove],
      measured: { label: 'Probability', text: percentText },
      numbers: [{ label: 'Full at', value: full }, ...capacityNumbers(material)],
    }
  },
  bottleMissing: ({ limits: { bottleMissing } }) => ({
    rule: `A bottle is missing after ${durationText(bottleMissing.closedMs)} off its scale while the shop is closed, or after ${durationText(bottleMissing.openMs)} at any time. It is over when a bottle has stood on the scale for a minute.`,
    limit: (limits) => limits.bottleMissing,
    numbers: [
      { label: 'Wait, shop closed', value: durationText(bottleMissing.closedMs) },
      { label: 'Wait, shop open', value: durationText(bottleMissing.openMs) },
    ],
  }),
  bottleLosingWeight: (material) => {
    const { gramsPerHour, gramsPerDay } = material.limits.bottleLosing
    const hour = waste(material, gramsPerHour)
    const day = waste(material, gramsPerDay)
    return {
      rule: `A bottle loses weight when it lost more than ${hour} in an hour, or more than ${day} in a day beyond what usually evaporates, and nobody was at it. It is over when the loss has fallen to half, or somebody was at the bottle.`,
      limit: (limits) => limits.bottleLosing,
      measured: { label: 'Lost', text: (grams) => waste(material, grams) },
      numbers: [
        { label: 'Limit in an hour', value: hour },
        { label: 'Limit in a day', value: day },
      ],
    }
  },
  wasteNotArriving: (material) => {
    const { grams, sigmas } = material.limits.wasteOwed
    return {
      rule: `Each cleaning that is seen should bring what its machine's cleanings usually bring. It is on record when more than ${waste(material, grams)} did not arrive, and more than ${sigmas} standard deviations of the cleanings and the scale. It is over when waste arrives again, or somebody was at the bottle.`,
      limit: (limits) => limits.wasteOwed,
      measured: { label: 'Did not arrive', text: (owed) => waste(material, owed) },
      numbers: [{ label: 'Limit', value: `${waste(material, grams)} and ${sigmas} standard deviations` }],
    }
  },
}

function bottleOf({ episode, settings }: WhyMaterial): Bottle | undefined {
  return settings.bottles.find((b) => b.id === episode.subject.id)
}

function waste(material: WhyMaterial, grams: number): string {
  return wasteText(grams, bottleOf(material), material.settings.site)
}

function fill(material: WhyMaterial, limit: HighLimit, name: string): Omit<WhyWords, 'limit'> {
  const { openAbove, closeBelow, onDelayMs, offDelayMs } = limit
  return {
    rule: `A bottle is ${name} when its fill stays above ${percentText(openAbove)}${forText(onDelayMs)}, and no longer when it stays below ${percentText(closeBelow)}${forText(offDelayMs)}.`,
    measured: { label: 'Fill', text: percentText },
    numbers: [{ label: 'Limit', value: percentText(openAbove) }, ...capacityNumbers(material)],
  }
}

function capacityNumbers(material: WhyMaterial): WhyNumber[] {
  const bottle = bottleOf(material)
  return bottle ? [{ label: 'Holds', value: volumeText(bottle.capacityMl, material.settings.site) }] : []
}
