import { URGENCIES, type Urgency } from '../model/alarm.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'

/** When a condition is told to whom it may wake. `now` is only for what does damage before the shop opens. */
type Rule = 'now' | 'nowAtNight' | 'nowIfProbable' | 'nowIfLasting' | 'beforeOpening' | 'today'

const RULES: Readonly<Record<Condition, Rule>> = {
  airDry: 'beforeOpening',
  airVeryDry: 'beforeOpening',
  airDamp: 'beforeOpening',
  roomCold: 'beforeOpening',
  roomWarm: 'beforeOpening',
  // Under its cap ink dries slowly, and some hours more change little: the morning's cleaning is soon enough. A head off
  // its cap, which cannot wait, has a condition of its own.
  headDrying: 'beforeOpening',
  headWillDry: 'nowIfProbable',
  offItsCap: 'now',
  notCleaning: 'beforeOpening',
  stoppedOnError: 'beforeOpening',
  idleTooLong: 'beforeOpening',
  // A machine without power comes to harm through its head alone, and that is told by offItsCap and headWillDry.
  powerLost: 'beforeOpening',
  leftOff: 'beforeOpening',
  powerFlickering: 'beforeOpening',
  // Without mains the sensors fall silent too: from then on nobody would be told of anything.
  mainsLost: 'nowIfLasting',
  bottleNear: 'beforeOpening',
  // The next cleaning, which no person starts, runs over or onto the floor.
  bottleFull: 'nowAtNight',
  bottleMissing: 'nowAtNight',
  bottleWillFill: 'nowIfProbable',
  bottleLosingWeight: 'beforeOpening',
  wasteNotArriving: 'beforeOpening',
  sensorSilent: 'today',
  sensorStuck: 'today',
  sensorImplausible: 'today',
  sensorOutOfStep: 'today',
  readingsMissing: 'today',
  clockAhead: 'today',
  monitorDark: 'today',
}

/**
 * How much time a person has.
 *
 * URGENT-1 `now` at night only for what does damage before opening; by day only for a head off its cap.
 * URGENT-2 a trouble ahead is `now` at night from `wakeProbability` on; below it, and by day, it is for before opening.
 * URGENT-3 all else waits for the morning at night, and is for today by day.
 *          The mains alone cannot wait so long: once they have been out for `powerOff.toldMs` while the shop is closed,
 *          the sensors are likely to be silent and the monitor is blind. A short outage wakes nobody.
 * URGENT-4 what is wrong with sensors, nodes and the monitor is for today at any hour.
 */
export function urgencyOf(
  { condition, shopClosed, value, fromMs }: Pick<Episode, 'condition' | 'shopClosed' | 'value' | 'fromMs'>,
  { settings: { limits }, nowMs }: { settings: Pick<Settings, 'limits'>; nowMs: number },
): Urgency {
  const rule = RULES[condition]
  switch (rule) {
    case 'now':
    case 'today':
      return rule
    case 'nowAtNight':
      return shopClosed ? 'now' : 'today'
    case 'nowIfProbable': {
      const probable = value !== null && value >= limits.forecast.wakeProbability * 100
      return shopClosed && probable ? 'now' : 'beforeOpening'
    }
    case 'nowIfLasting':
      if (!shopClosed) return 'today'
      return nowMs >= fromMs + limits.powerOff.toldMs ? 'now' : 'beforeOpening'
    case 'beforeOpening':
      return shopClosed ? 'beforeOpening' : 'today'
  }
}

/** When this episode, if it is still open, is told at once for having lasted: Infinity for what never is. */
export function lastsTooLongMs({ condition, fromMs }: Episode, { limits }: Pick<Settings, 'limits'>): number {
  return RULES[condition] === 'nowIfLasting' ? fromMs + limits.powerOff.toldMs : Infinity
}

export function isMoreUrgent(a: { readonly urgency: Urgency }, b: { readonly urgency: Urgency }): boolean {
  return URGENCIES.indexOf(a.urgency) < URGENCIES.indexOf(b.urgency)
}
