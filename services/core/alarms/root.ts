import { affectedMachines } from '../assess/affected-machines.ts'
import type { Episode } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'
import { subjectKey } from '../model/subject.ts'
import { nodeIdOf } from './subject-title.ts'

/**
 * One trouble, one alarm: episodes of one root share it.
 *
 * ROOT-1 what follows from a machine's power is one root: off, left off, flickering, no longer cleaning, and a head off
 *        its cap because the power fell. A head that a person found off its cap is a root of its own.
 * ROOT-2 dry and very dry air of a room are one root; so are a bottle that is near, full, or will be. A missing bottle is
 *        another trouble than a full one.
 * ROOT-3 all inks of a machine that dry, or will, are one root, since one cleaning helps them all; so are all that stood
 *        still.
 * ROOT-4 what keeps a node from being heard is one root: its sensors silent, its packs missing, its clock ahead.
 * ROOT-5 a sensor that is not believed is one root, whatever the reason.
 */
export function rootKeyOf(episode: Episode, settings: Settings): string {
  const { condition, subject, value } = episode
  switch (condition) {
    case 'powerLost':
    case 'leftOff':
    case 'powerFlickering':
    case 'notCleaning':
      return `power|${subjectKey(subject)}`
    case 'offItsCap':
      return `${value === 1 ? 'offItsCap' : 'power'}|${subjectKey(subject)}`
    case 'airDry':
    case 'airVeryDry':
      return `dryAir|${subjectKey(subject)}`
    case 'bottleNear':
    case 'bottleFull':
    case 'bottleWillFill':
      return `bottleLevel|${subjectKey(subject)}`
    case 'headDrying':
    case 'headWillDry':
      return `drying|${machineKeyOf(episode, settings)}`
    case 'idleTooLong':
      return `idleTooLong|${machineKeyOf(episode, settings)}`
    case 'sensorSilent':
    case 'readingsMissing':
    case 'clockAhead':
      return `node|node:${nodeIdOf(subject)}`
    case 'sensorStuck':
    case 'sensorImplausible':
    case 'sensorOutOfStep':
      return `distrust|${subjectKey(subject)}`
    case 'airDamp':
    case 'roomCold':
    case 'roomWarm':
    case 'stoppedOnError':
    case 'mainsLost':
    case 'bottleMissing':
    case 'bottleLosingWeight':
    case 'wasteNotArriving':
    case 'monitorDark':
      return `${condition}|${subjectKey(subject)}`
  }
}

function machineKeyOf({ subject }: Episode, settings: Settings): string {
  const machine = affectedMachines(subject, settings)[0]
  return machine ? `machine:${machine.id}` : subjectKey(subject)
}
