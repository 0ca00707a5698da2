import type { ReasonMaterial, ReasonsOf } from '../reason.ts'
import { durationText } from '../../model/clock-text.ts'

const CANNOT_CLEAN = 'A machine that is off cannot clean its heads, and the ink dries in the nozzles.'
const LOOK_FIRST =
  'Find out why it is off. If a breaker or residual-current device tripped, or anything is wet or smells burnt, leave it off and call an electrician.'

/** Power of the machines and of the shop. That machines stay on is common practice, no source. */
export const powerReasons: ReasonsOf<'powerLost' | 'leftOff' | 'powerFlickering' | 'mainsLost'> = {
  powerLost: (material) => ({
    title: material.night
      ? `${material.title} lost power while the shop is closed`
      : `${material.title} is off`,
    cause: `No power at the machine since ${material.since}.`,
    consequence: CANNOT_CLEAN,
    action: LOOK_FIRST,
    timeToAct: material.night ? waitsFor(material) : 'Before closing.',
  }),
  leftOff: (material) => ({
    title: `${material.title} was left off`,
    cause: `It went off at ${material.since}, before the shop closed, and is still off.`,
    consequence: CANNOT_CLEAN,
    action:
      'Ask who switched it off. If nobody did, find out why it is off before you touch it. Most machines are left on through the night, with the carriage at home: its manual says how.',
    timeToAct: waitsFor(material),
  }),
  powerFlickering: ({ title, value, since, settings, night }) => ({
    title: `The power of ${title} comes and goes`,
    cause:
      value === null
        ? `It fell again and again, for the first time at ${since}.`
        : `It fell ${Math.round(value)} times within ${durationText(settings.limits.flickering.withinMs)}, for the first time at ${since}.`,
    consequence:
      'Each time the machine starts anew, and one day it stops with its head off the cap. A loose contact can also get hot.',
    action:
      'Have the plug, the socket and the power strip seen to. If anything is hot, scorched or smells burnt, keep off and call an electrician.',
    timeToAct: night
      ? 'Before opening. A smell of burning cannot wait.'
      : 'Before it is left alone for the night.',
  }),
  mainsLost: (material) => ({
    title: `${material.title} has no mains power`,
    cause: `The mains detector at the monitor has shown no power since ${material.since}.`,
    consequence:
      'No machine can clean its heads, and one that was printing may be off its cap. Nightcap itself runs only as long as its battery lasts.',
    action:
      'Find out whether the street is dark or only the shop. If a breaker or residual-current device tripped, or anything is wet or smells burnt, leave it and call an electrician.',
    timeToAct: mainsTime(material),
  }),
}

function mainsTime({ night, now, settings }: ReasonMaterial): string {
  const lasting = durationText(settings.limits.powerOff.toldMs)
  if (now)
    return `Now: it has lasted ${lasting} or more, the sensors fall silent with it, and from here nothing else can be seen.`
  return night
    ? `If it lasts ${lasting} you are told at once; a short outage can wait for the morning.`
    : 'Today: when it is back, see that every machine is back too.'
}

function waitsFor({ night }: ReasonMaterial): string {
  return night
    ? 'Before opening. If a head is found to be in danger earlier, you are told at once.'
    : 'Before closing.'
}
