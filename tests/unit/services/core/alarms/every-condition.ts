import { alarmReason, rootKeyOf } from '../../../../../services/core/alarms/alarm-reason.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import type { Condition, Episode } from '../../../../../services/core/model/episode.ts'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import type { Subject } from '../../../../../services/core/model/subject.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const MIN = 60_000
/** A Wednesday, 22:10 in the test shop. */
export const NIGHT = Date.parse('2026-11-25T21:10:00Z')

/** The test shop in the units of another country. */
export function shopInFahrenheit(): Settings {
  return testSettings({
    site: {
      id: 'quayside',
      title: 'Quayside Film & Print',
      timeZone: 'America/New_York',
      temperatureUnit: 'degF',
      volumeUnit: 'fl oz',
    },
  })
}

const ROOM: Subject = { kind: 'room', id: 'floor' }
const MACHINE: Subject = { kind: 'machine', id: 'roll' }
const WHITE: Subject = { kind: 'channelGroup', id: 'roll-white' }
const BOTTLE: Subject = { kind: 'bottle', id: 'roll-waste' }
const HUMIDITY: Subject = { kind: 'sensor', id: 'bench/humidity' }
const NODE: Subject = { kind: 'node', id: 'bench' }
const SITE: Subject = { kind: 'site', id: 'quayside' }

/** Each condition on its kind of subject, with values as its detector gives them. */
export const SAMPLES: Readonly<Record<Condition, { subject: Subject; values: readonly number[] }>> = {
  airDry: { subject: ROOM, values: [36, 39.6] },
  airVeryDry: { subject: ROOM, values: [27.4] },
  airDamp: { subject: ROOM, values: [71.2] },
  roomCold: { subject: ROOM, values: [13.3, -2] },
  roomWarm: { subject: ROOM, values: [31.8] },
  headDrying: { subject: WHITE, values: [100, 133.3] },
  headWillDry: { subject: WHITE, values: [60, 83.33] },
  offItsCap: { subject: MACHINE, values: [0, 1] },
  notCleaning: { subject: MACHINE, values: [9.25] },
  stoppedOnError: { subject: MACHINE, values: [0, 1] },
  idleTooLong: { subject: WHITE, values: [24, 61.7] },
  powerLost: { subject: MACHINE, values: [0] },
  leftOff: { subject: MACHINE, values: [0] },
  powerFlickering: { subject: MACHINE, values: [3] },
  mainsLost: { subject: SITE, values: [0] },
  bottleNear: { subject: BOTTLE, values: [82.4] },
  bottleFull: { subject: BOTTLE, values: [96] },
  bottleWillFill: { subject: BOTTLE, values: [50, 91] },
  bottleMissing: { subject: BOTTLE, values: [0] },
  bottleLosingWeight: { subject: BOTTLE, values: [63.2] },
  wasteNotArriving: { subject: BOTTLE, values: [41.9] },
  sensorSilent: { subject: HUMIDITY, values: [0] },
  sensorStuck: { subject: HUMIDITY, values: [45.2] },
  sensorImplausible: { subject: HUMIDITY, values: [99.9] },
  sensorOutOfStep: { subject: HUMIDITY, values: [-12.4, 11] },
  readingsMissing: { subject: NODE, values: [1, 12] },
  clockAhead: { subject: NODE, values: [320.4] },
  monitorDark: { subject: SITE, values: [42.4] },
}

export function episodeOf(condition: Condition, change: Partial<Episode> = {}): Episode {
  const { subject, values } = SAMPLES[condition]
  const value = values[0] ?? null
  const fromMs = NIGHT - 20 * MIN
  return {
    id: `${condition}|${subject.kind}:${subject.id}|${fromMs}`,
    condition,
    subject,
    judgedUnder: `${subject.kind}:${subject.id}`,
    fromMs,
    openedMs: NIGHT - 10 * MIN,
    toMs: null,
    closedMs: null,
    value,
    worst: value,
    shopClosed: true,
    ...change,
  }
}

/** The condition with each of its values and with none, by night and by day. */
export function everyEpisodeOf(condition: Condition): readonly Episode[] {
  return [...SAMPLES[condition].values, null].flatMap((value) =>
    [true, false].map((shopClosed) => episodeOf(condition, { value, worst: value, shopClosed })),
  )
}

export function alarmOf(episode: Episode, settings: Settings): Alarm {
  return {
    id: 'alarm-1',
    rootKey: rootKeyOf(episode, settings),
    condition: episode.condition,
    subject: episode.subject,
    episodeIds: [episode.id],
    leadEpisodeId: episode.id,
    state: 'unacknowledged',
    ...alarmReason(episode, { settings, nowMs: NIGHT }),
    openedMs: episode.openedMs,
    returnedMs: null,
    activations: 1,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
  }
}

/** What no text may hold: leftovers of a program, and a word that only a person on the spot may say. */
export const UNSPEAKABLE =
  /undefined|NaN|null|Infinity|\[object|\?\?|\bsafe(ly)?\b|\bharmless\b|  |\$\{|\s[.,;:]|\.\.|,,/
