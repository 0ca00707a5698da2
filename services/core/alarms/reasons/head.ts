import { hoursText, percentText } from '../measured-text.ts'
import type { ReasonMaterial, ReasonsOf } from '../reason.ts'

const NOZZLES_LOST =
  'Ink thickens in the nozzles. Nozzles go missing, and what has dried hard may not come back.'

/** Heads and their ink. What dries and what settles is common practice, no source. */
export const headReasons: ReasonsOf<
  'headDrying' | 'headWillDry' | 'offItsCap' | 'notCleaning' | 'stoppedOnError' | 'idleTooLong'
> = {
  headDrying: ({ title, value, since, night }) => ({
    title: `${title} is drying out`,
    cause: `It was last wetted too long ago for air this dry: it passed its limit at ${since}${value !== null && value > 105 ? `, and stands at ${percentText(value)} of it` : ''}.`,
    consequence: NOZZLES_LOST,
    action:
      'Run a cleaning as the manual says, then a nozzle check. If the machine is off, find out why before you switch it on.',
    timeToAct: night
      ? 'Before the first print. Under its cap ink dries slowly, so this can wait for the morning.'
      : 'Before the next print, and before closing.',
  }),
  headWillDry: ({ title, value, night, now }) => ({
    title: `${title} may dry out before opening`,
    cause:
      value === null
        ? 'By the forecast it passes its drying limit before the shop opens next.'
        : `Held against past nights, it passes its drying limit before the shop opens next with a probability of ${percentText(value)}.`,
    consequence: NOZZLES_LOST,
    action:
      'See that the head is on its cap and the humidifier runs, then run a cleaning. If the machine is off, find out why before you switch it on.',
    timeToAct: now
      ? 'Tonight: in the morning it is probably too late.'
      : night
        ? 'Before opening, the earlier the better.'
        : 'Before closing, while somebody is there.',
  }),
  offItsCap: ({ episode, title, value, since, settings }) => {
    const heads = settings.machines.find((m) => m.id === episode.subject.id)?.heads.length ?? 0
    const head = heads > 1 ? 'A head' : 'The head'
    const said = value === 1
    return {
      title: `${head} of ${title} is ${said ? '' : 'probably '}off its cap`,
      cause: said
        ? `Somebody said so at ${since}, and nothing since shows that it is back on it.`
        : `The power fell at ${since} while it was printing, so the carriage probably stands where it stopped.`,
      consequence: 'Off its cap the ink dries far faster than on it. Nozzles can be lost within hours.',
      action: said
        ? 'Send the carriage home, or cap the head, as the manual says. If the machine has no power, find out why first.'
        : 'Find out why the power fell. If a breaker or residual-current device tripped, or anything is wet or smells burnt, leave it off and call an electrician. Re-cap the head only as the manual says.',
      timeToAct: 'Now. A head that stands open can dry within hours.',
    }
  },
  notCleaning: ({ title, value, since, night }) => ({
    title: `${title} no longer cleans itself`,
    cause: `It is on, but has been seen neither to clean nor to print since ${since}${value === null ? '' : `, that is for ${hoursText(value)}`}.`,
    consequence: 'Its heads dry as if it were off, while everything looks well.',
    action:
      'Look at its screen for an error, at its inks and its settings. Then run a cleaning and a nozzle check.',
    timeToAct: night ? 'Before opening.' : 'Before closing, so that it cleans itself through the night.',
  }),
  stoppedOnError: ({ title, value, since, night }) => ({
    title: `${title} has ${value === 1 ? 'probably ' : ''}stopped on an error`,
    cause:
      value === 1
        ? `Since ${since} its meter has shown neither rest nor cleaning nor printing.`
        : `Somebody said so at ${since}.`,
    consequence:
      'Until somebody comes it neither prints nor cleans. If it stopped in the middle of a print, its head may be off its cap.',
    action:
      'Read the error on its screen, and follow its manual. See whether the head is on its cap, and if it is not, say so on the board.',
    timeToAct: night ? 'Before opening.' : 'Soon, and before closing.',
  }),
  idleTooLong: (material) => ({
    title: `${material.title} has stood still too long`,
    cause: idleCause(material),
    consequence:
      'White pigment settles: prints come out thin and uneven, and what has settled clogs nozzles.',
    action:
      'Move the white ink as the manual says: shake, stir or circulate it. Then print a little with it.',
    timeToAct: material.night ? 'Before the first white print of the day.' : 'Before closing.',
  }),
}

function idleCause({ value, since }: ReasonMaterial): string {
  const stood = value === null ? '' : `, that is for ${hoursText(value)}`
  return `It has been neither printed with nor stirred since ${since}${stood}.`
}
