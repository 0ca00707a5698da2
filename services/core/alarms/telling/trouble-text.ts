import type { Alarm } from '../../model/alarm.ts'
import type { Condition } from '../../model/episode.ts'
import type { Settings } from '../../model/settings.ts'
import { OUTAGE_ROOT } from '../outage.ts'
import { atStart, nodeTitleOf, titleOf } from '../subject-title.ts'

/** What is the matter, short enough for a locked screen, after the name of what it is the matter with. */
const TROUBLES: Readonly<Record<Condition, string>> = {
  airDry: 'air too dry',
  airVeryDry: 'air very dry',
  airDamp: 'air too damp',
  roomCold: 'too cold',
  roomWarm: 'too warm',
  headDrying: 'drying out',
  headWillDry: 'may dry out before opening',
  offItsCap: 'power lost while printing',
  notCleaning: 'no longer cleans itself',
  stoppedOnError: 'stopped on an error',
  idleTooLong: 'stood still too long',
  powerLost: 'power lost',
  leftOff: 'left off',
  powerFlickering: 'power comes and goes',
  mainsLost: 'no mains power',
  bottleNear: 'nearly full',
  bottleFull: 'full',
  bottleWillFill: 'may run full before opening',
  bottleMissing: 'not on its scale',
  bottleLosingWeight: 'losing weight',
  wasteNotArriving: 'waste does not arrive',
  sensorSilent: 'silent',
  sensorStuck: 'stuck on one value',
  sensorImplausible: 'reads impossible values',
  sensorOutOfStep: 'differs from its neighbours',
  readingsMissing: 'readings missing',
  clockAhead: 'clock ahead',
  monitorDark: 'Nightcap was not running',
}

/** "Roll 60: power lost while printing": what and where, in one line that stands alone. */
export function troubleText(
  alarm: Pick<Alarm, 'condition' | 'subject' | 'rootKey' | 'title'>,
  settings: Settings,
): string {
  const { condition, subject, rootKey } = alarm
  // How many machines an outage took stands in the alarm's own words.
  if (condition === 'powerLost' && rootKey === OUTAGE_ROOT) return alarm.title
  const saidByPerson = condition === 'offItsCap' && rootKey.startsWith('offItsCap|')
  const where =
    condition === 'sensorSilent' ? nodeTitleOf(subject, settings) : atStart(titleOf(subject, settings))
  return `${where}: ${saidByPerson ? 'head off its cap' : TROUBLES[condition]}`
}
