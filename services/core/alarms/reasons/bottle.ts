import { percentText, volumeText, wasteText } from '../measured-text.ts'
import type { ReasonMaterial, ReasonsOf } from '../reason.ts'

const OVERFULL = 'An overfull bottle puts ink on the floor and into the machine.'

/** Waste bottles. That many machines have no sensor on theirs is common practice, no source. */
export const bottleReasons: ReasonsOf<
  'bottleNear' | 'bottleFull' | 'bottleWillFill' | 'bottleMissing' | 'bottleLosingWeight' | 'wasteNotArriving'
> = {
  bottleNear: (material) => ({
    title: `${material.title} is nearly full`,
    cause: fillCause(material, material.settings.limits.bottleNearPct.openAbove),
    consequence: `${OVERFULL} Each cleaning adds to it.`,
    action: 'Empty the bottle. Dispose of the waste ink by your local rules.',
    timeToAct: material.night ? 'Before opening.' : 'Before closing, so that it can take the night.',
  }),
  bottleFull: (material) => ({
    title: `${material.title} is full`,
    cause: fillCause(material, material.settings.limits.bottleFullPct.openAbove),
    consequence: `${OVERFULL} From now on each cleaning can make it run over.`,
    action: 'Put an empty bottle in its place. Dispose of the waste ink by your local rules.',
    timeToAct: material.night
      ? 'Now: the machine may clean itself at any time of the night.'
      : 'Before the next cleaning.',
  }),
  bottleWillFill: ({ title, value, settings, night, now }) => ({
    title: `${title} may run full before opening`,
    cause: `By the way it usually fills, it reaches ${percentText(settings.limits.bottleFullPct.openAbove)} before the shop opens next${value === null ? '' : ` with a probability of ${percentText(value)}`}.`,
    consequence: OVERFULL,
    action: 'Empty the bottle before it must take more. Dispose of the waste ink by your local rules.',
    timeToAct: now
      ? 'Tonight: in the morning it is probably too late.'
      : night
        ? 'Before opening, the earlier the better.'
        : 'Before closing, while somebody is there.',
  }),
  bottleMissing: ({ title, since, night }) => ({
    title: `${title} is not on its scale`,
    cause: `There has been no bottle on the scale since ${since}.`,
    consequence: 'With no bottle in place the next cleaning runs onto the floor and into the machine.',
    action: 'Put the bottle back, or another, with the tube well into its neck.',
    timeToAct: night
      ? 'Now: the machine may clean itself at any time of the night.'
      : 'Before the next cleaning, so in the next minutes.',
  }),
  bottleLosingWeight: (material) => ({
    title: `${material.title} is losing weight`,
    cause: `${grams(material, 'It lost about', 'It grows lighter')}, counted from ${material.since}, and nobody was seen to take anything from it.`,
    consequence: 'It leaks, or somebody takes from it. Waste ink makes the floor slippery and stains it.',
    action: 'Look under the bottle and along the hose for ink. Dispose of what leaked by your local rules.',
    timeToAct: material.night ? 'Before opening.' : 'Today, and before the night.',
  }),
  wasteNotArriving: (material) => ({
    title: `Waste is not reaching ${material.title}`,
    cause: `${grams(material, 'About', 'Waste')} from the cleanings since ${material.since} should be in it, and did not arrive.`,
    consequence:
      'It goes somewhere else: onto the floor, into the machine, or it is stuck in a blocked hose.',
    action:
      'Look at the floor and along the hose: is it off, bent or blocked? Dispose of what ran out by your local rules.',
    timeToAct: material.night ? 'Before opening.' : 'Today, and before the night.',
  }),
}

/** "The scale says 82 %, 1650 mL of 2000 mL; it has been above the mark of 80 % since 21:10." */
function fillCause({ episode, value, since, settings }: ReasonMaterial, limitPct: number): string {
  const mark = `above the mark of ${percentText(limitPct)} since ${since}.`
  if (value === null) return `By the scale it has been ${mark}`
  const capacityMl = settings.bottles.find((b) => b.id === episode.subject.id)?.capacityMl
  const volume = (ml: number) => volumeText(Math.round(ml / 10) * 10, settings.site)
  const of =
    capacityMl === undefined ? '' : `, ${volume((value / 100) * capacityMl)} of ${volume(capacityMl)}`
  return `The scale says ${percentText(value)}${of}; it has been ${mark}`
}

function grams({ episode, value, settings }: ReasonMaterial, known: string, unknown: string): string {
  if (value === null) return unknown
  const bottle = settings.bottles.find((b) => b.id === episode.subject.id)
  return `${known} ${wasteText(value, bottle, settings.site)}`
}
