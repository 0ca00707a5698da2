import { nodeTitleOf } from '../../alarms/subject-title.ts'
import { LOW_VOLTAGE } from './cautions.ts'
import type { TasksOf } from './task-words.ts'

const SEEN_ON_BOARD = 'Look at Sensors on the board: it must speak again within a few minutes.'
const UNTIL_THEN = 'Until then look yourself at what it should measure, above all before closing.'

export const sensorTasks: TasksOf<
  'sensorSilent' | 'sensorStuck' | 'sensorImplausible' | 'sensorOutOfStep' | 'readingsMissing' | 'clockAhead'
> = {
  sensorSilent: ({ alarm, settings }) => ({
    title: `${nodeTitleOf(alarm.subject, settings)} is silent: find out why`,
    why: 'What nobody measures is unknown, and unknown is not fine.',
    steps: [
      'See whether the sensor node has power and its light is on.',
      'See whether it reaches the network: restart it if in doubt. It keeps its readings and sends them later.',
      'See whether the sensor itself is still plugged in.',
      SEEN_ON_BOARD,
      UNTIL_THEN,
    ],
    cautions: [LOW_VOLTAGE],
    supplies: [],
  }),
  sensorStuck: ({ title }) => ({
    title: `Restart or replace the sensor: ${title}`,
    why: 'It repeats one value for longer than anything real stands still, so it is not believed.',
    steps: [
      'Breathe on a humidity or temperature sensor, or lay a small weight on a scale, and see on the board whether it moves.',
      'If it does not, see whether it is plugged in well, and restart its node.',
      'If it still does not move, replace it, and assign the new one under Sensors.',
      UNTIL_THEN,
    ],
    cautions: [LOW_VOLTAGE],
    supplies: ['A spare sensor of the same kind'],
  }),
  sensorImplausible: ({ title }) => ({
    title: `See to the sensor: ${title}`,
    why: 'What no room can have is no measurement, so the sensor is not believed.',
    steps: [
      'Look at the sensor: is it wet, dusty with powder, in the sun, by a heater, or in the mist of the humidifier?',
      'See whether its cable is damaged or loose.',
      'Move it to a shaded place at the height of the heads, away from doors and vents, and let it dry.',
      'If it goes on, replace it, and assign the new one under Sensors.',
      UNTIL_THEN,
    ],
    cautions: [LOW_VOLTAGE],
    supplies: ['A spare sensor of the same kind'],
  }),
  sensorOutOfStep: ({ title }) => ({
    title: `Compare sensors: ${title} differs from the others`,
    why: 'Two sensors of one room that differ for long cannot both be right, and a slow drift shows in no other way.',
    steps: [
      'See whether one of them stands badly: in the sun, in a draught, by a heater or a humidifier.',
      'Put all sensors of the room side by side, out of the wind, and wait an hour.',
      'The one that still stands apart is wrong. With two alone, hold a third against them.',
      'Replace the wrong one, or move the badly placed one for good.',
    ],
    cautions: [LOW_VOLTAGE],
    supplies: ['A hygrometer and thermometer that you trust'],
  }),
  readingsMissing: ({ title }) => ({
    title: `Find out why readings of ${title} are missing`,
    why: 'What happened while they were missing is unknown: a short fault may have gone unseen.',
    steps: [
      'Look at the node: does it restart by itself, or does its power come and go?',
      'Look how well it hears the network where it stands; bring it or the access point nearer.',
      'See under Sensors whether packs go on missing.',
      'Look in the Logbook and at the machine whether anything happened in that time.',
    ],
    cautions: [LOW_VOLTAGE],
    supplies: [],
  }),
  clockAhead: ({ title }) => ({
    title: `Set the clock of ${title} right`,
    why: 'Readings from the future are refused, so what it measures is unknown.',
    steps: [
      'See whether the node reaches a time server. Without the internet, the monitor or the router can be one.',
      'Restart the node, and let it fetch the time before it measures.',
      'See that the clock of the monitor itself is right: if several nodes seem ahead, it is the monitor that is behind.',
      SEEN_ON_BOARD,
    ],
    cautions: [LOW_VOLTAGE],
    supplies: [],
  }),
}
