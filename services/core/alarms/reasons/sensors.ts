import { durationText } from '../../model/clock-text.ts'
import type { SensorBinding } from '../../model/settings.ts'
import { differenceText, quantityText } from '../measured-text.ts'
import type { ReasonMaterial, ReasonsOf } from '../reason.ts'
import { atStart, nodeTitleOf } from '../subject-title.ts'

const UNKNOWN = 'unknown is not fine: dry air or a full bottle would go unseen'

/** Sensors and the nodes that carry them. */
export const sensorReasons: ReasonsOf<
  'sensorSilent' | 'sensorStuck' | 'sensorImplausible' | 'sensorOutOfStep' | 'readingsMissing' | 'clockAhead'
> = {
  // The node is named, since that is what a person goes to; which sensor it was stands in the cause.
  sensorSilent: (material) => ({
    title: `${nodeTitleOf(material.episode.subject, material.settings)} has gone silent`,
    cause: `Nothing has been heard of ${sensorNameOf(material)} since ${material.since}, that is for ${lengthText(material)}.`,
    consequence: `What it measured is now unknown, and ${UNKNOWN}.`,
    action: 'See whether it has power, reaches the network, and whether its sensor is still plugged in.',
    timeToAct: soon(material.night),
  }),
  sensorStuck: (material) => ({
    title: `${atStart(material.title)} no longer moves`,
    cause:
      material.value === null
        ? `The sensor has repeated one value since ${material.since}.`
        : `The sensor has repeated ${measured(material, material.value)} since ${material.since}, without the smallest change.`,
    consequence: `Nothing real stands so still, so it is not believed. What it should measure is unknown, and ${UNKNOWN}.`,
    action: 'Restart the sensor. If it stays as it is, replace it.',
    timeToAct: soon(material.night),
  }),
  sensorImplausible: (material) => ({
    title: `${atStart(material.title)} reads impossible values`,
    cause: `Since ${material.since} the sensor has read values that no room has, or that jump faster than air can change${material.value === null ? '' : `, such as ${measured(material, material.value)}`}.`,
    consequence: `It is not believed. What it should measure is unknown, and ${UNKNOWN}.`,
    action: 'See whether the sensor is wet, loose, in the sun or by a heater, or its cable damaged.',
    timeToAct: soon(material.night),
  }),
  sensorOutOfStep: (material) => ({
    title: `${atStart(material.title)} differs from its neighbours`,
    cause: apartCause(material),
    consequence:
      'One of them is wrong, so it is not believed: dry air may go unseen, or alarms come for nothing.',
    action:
      'Put the sensors side by side for an hour and compare them. Replace the one that is wrong, or move the one that stands badly.',
    timeToAct: material.night
      ? 'In the next days, while the shop is open.'
      : 'Today or tomorrow, when you have an hour to compare.',
  }),
  readingsMissing: ({ title, value, since, night }) => ({
    title: `Readings of ${title} are missing`,
    cause: `${value === null ? 'Packs of readings' : packs(value)} never came, though later ones did. The first was missed at ${since}.`,
    consequence: 'What happened in that time is unknown: a short fault may have gone unseen.',
    action: 'See whether its network is weak, or its power comes and goes, and mend that.',
    timeToAct: soon(night),
  }),
  clockAhead: ({ title, value, since, night }) => ({
    title: `The clock of ${title} is ahead`,
    cause: `Since ${since} its readings have been stamped ${value === null ? '' : `${durationText(value * 1000)} `}in the future, and are refused.`,
    consequence: `What it measures is unknown, and ${UNKNOWN}.`,
    action: 'Set its clock right: give it a time server it can reach, and restart it.',
    timeToAct: soon(night),
  }),
}

function soon(night: boolean): string {
  return night ? 'In the morning, and before the next closing.' : 'Today, and before closing.'
}

function bindingOf({ episode, settings }: ReasonMaterial): SensorBinding | undefined {
  return settings.sensors.find((s) => s.id === episode.subject.id)
}

function measured(material: ReasonMaterial, value: number): string {
  return quantityText(value, bindingOf(material)?.quantity, material.settings.site)
}

function sensorNameOf({ episode, title, settings }: ReasonMaterial): string {
  return nodeTitleOf(episode.subject, settings) === atStart(title) ? 'it' : `its sensor (${title})`
}

function lengthText({ nowMs, episode }: ReasonMaterial): string {
  return durationText(Math.max(0, nowMs - episode.fromMs))
}

function apartCause(material: ReasonMaterial): string {
  const { value, since, settings } = material
  if (value === null) return `It has been apart from the other sensors of its room since ${since}.`
  const apart = differenceText(value, bindingOf(material)?.quantity, settings.site)
  return `It reads ${apart} ${value < 0 ? 'lower' : 'higher'} than the other sensors of its room, and has been apart since ${since}.`
}

function packs(value: number): string {
  const n = Math.round(value)
  return n === 1 ? '1 pack of readings' : `${n} packs of readings`
}
