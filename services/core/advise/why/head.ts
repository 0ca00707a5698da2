import { hoursText, numberText, percentText } from '../../alarms/measured-text.ts'
import { durationText } from '../../model/clock-text.ts'
import type { Limits } from '../../model/settings.ts'
import { STARTING_VALUE } from './limit-from.ts'
import type { WhyMaterial, WhyNumber, WhyOf } from './why-words.ts'

export const headWhy: WhyOf<
  'headDrying' | 'headWillDry' | 'offItsCap' | 'notCleaning' | 'stoppedOnError' | 'idleTooLong'
> = {
  headDrying: (material) => ({
    rule: `Ink is on record as drying when its drying dose since it was last wetted reaches ${doseText(material)}, and it is over when a wetting brings it below nine tenths of that. The dose adds up how dry the air is, hour by hour; off its cap it counts ${numberText(material.limits.exposureFactor.uncapped)} times.`,
    limit: doseLimit(material),
    measured: { label: 'Dose', text: (pct) => `${percentText(pct)} of the limit` },
    numbers: [{ label: 'Limit', value: doseText(material) }],
  }),
  headWillDry: (material) => {
    const { listProbability, wakeProbability } = material.limits.forecast
    return {
      rule: `It is on record when the drying dose passes ${doseText(material)} before the next opening in at least ${share(listProbability)} of the nights that the forecast replays. It wakes somebody from ${share(wakeProbability)} on.`,
      limit: (limits) => [limits.forecast, doseLimit(material)(limits)],
      measured: { label: 'Probability', text: percentText },
      numbers: [
        { label: 'On record from', value: share(listProbability) },
        { label: 'Wakes from', value: share(wakeProbability) },
        { label: 'Limit of the dose', value: doseText(material) },
      ],
    }
  },
  offItsCap: ({ episode, limits }) =>
    episode.value === 1
      ? {
          rule: `A head is off its cap when a person says so. While somebody works on the machine, the question waits for ${durationText(limits.servicingMs)}.`,
          limit: 'No limit: a person said so.',
          numbers: [],
        }
      : {
          rule: `A head is probably off its cap when the power fell while the machine was printing, and the carriage has had no chance to go home for ${durationText(limits.powerOff.uncappedMs)}.`,
          limit: (l) => l.powerOff.uncappedMs,
          numbers: [{ label: 'Wait', value: durationText(limits.powerOff.uncappedMs) }],
        },
  notCleaning: (material) => ({
    rule: `It is on record when a machine that is on was seen neither to clean nor to print for ${numberText(material.limits.notCleaningIntervals)} of its usual intervals between cleanings. It is over when it cleans, prints or goes off.`,
    limit: (limits) => limits.notCleaningIntervals,
    measured: { label: 'Without a cleaning for', text: hoursText },
    numbers: intervalNumbers(material),
  }),
  stoppedOnError: ({ episode }) =>
    episode.value === 1
      ? {
          rule: 'A machine has probably stopped on an error when its meter stands between its known bands for 30 min. It is over when it is seen to clean or print, when it goes off, or when a person says that it runs.',
          limit: STARTING_VALUE,
          numbers: [{ label: 'Wait', value: '30 min' }],
        }
      : {
          rule: 'A machine has stopped on an error when a person says so. It is over when a person says that it runs, when it is seen to clean or print, or when it goes off.',
          limit: 'No limit: a person said so.',
          numbers: [],
        },
  idleTooLong: ({ limits }) => ({
    rule: `White ink has stood too long when it was neither printed with nor stirred for ${durationText(limits.idleMs)}. It is over with the next print or stirring that is seen or logged.`,
    limit: (l) => l.idleMs,
    measured: { label: 'Stood still for', text: hoursText },
    numbers: [{ label: 'Limit', value: durationText(limits.idleMs) }],
  }),
}

function inkOf({ episode, settings }: WhyMaterial): 'colour' | 'white' {
  const groups = settings.machines.flatMap((m) => m.heads.flatMap((h) => h.channelGroups))
  return groups.find((g) => g.id === episode.subject.id)?.ink ?? 'colour'
}

/** "60 kPa h (white ink)" */
function doseText(material: WhyMaterial): string {
  const ink = inkOf(material)
  return `${numberText(material.limits.doseKpaH[ink])} kPa h (${ink} ink)`
}

function doseLimit(material: WhyMaterial): (limits: Limits) => unknown {
  const ink = inkOf(material)
  return ({ doseKpaH, exposureFactor }) => [doseKpaH[ink], exposureFactor]
}

function share(probability: number): string {
  return percentText(probability * 100)
}

function intervalNumbers({ episode, settings, limits }: WhyMaterial): WhyNumber[] {
  const told = settings.machines.find((m) => m.id === episode.subject.id)?.selfCleaning
  if (told?.kind !== 'everyHours') return [{ label: 'Usual interval', value: 'learned from its own past' }]
  return [
    { label: 'Usual interval', value: `${hoursText(told.hours)}, as told` },
    { label: 'Limit', value: hoursText(told.hours * limits.notCleaningIntervals) },
  ]
}
