import { durationText } from '../../model/clock-text.ts'
import {
  ELECTRICIAN,
  LOOK_BEFORE_TOUCHING,
  MANUAL_FIRST,
  NO_SAFETY_ALARM,
  NOZZLE_FACE,
  PLUG_IN_METER,
} from './cautions.ts'
import type { TasksOf } from './task-words.ts'

const GOES_HOME = 'Watch it start. The carriage must go home, so that the cap seals the head.'
const CAP_BY_MANUAL = 'If the carriage does not go home, re-cap only as the manual says.'
const CLEAN_AND_LOG = 'When it is ready, run a cleaning and a nozzle check, and log what is missing.'
const POWER_CAUTIONS = [ELECTRICIAN, MANUAL_FIRST, NOZZLE_FACE, NO_SAFETY_ALARM]

export const powerTasks: TasksOf<'powerLost' | 'leftOff' | 'powerFlickering' | 'mainsLost'> = {
  powerLost: ({ title }) => ({
    title: `Find out why ${title} is off`,
    why: 'A machine that is off cannot clean its heads, and an uncapped head dries far faster than a capped one.',
    steps: [
      LOOK_BEFORE_TOUCHING,
      'If its plug was out, its own switch off, or the mains away for a while: its manual says how it is started.',
      GOES_HOME,
      CAP_BY_MANUAL,
      CLEAN_AND_LOG,
      'If it is off on purpose, say on the board that it is out of service, and follow the storage procedure of its manual.',
    ],
    cautions: POWER_CAUTIONS,
    supplies: [],
  }),
  leftOff: ({ title }) => ({
    title: `See that ${title} is on for the night`,
    why: 'Many machines clean their heads by themselves while they are on; one that is off does not.',
    steps: [
      'Ask who switched it off, and why.',
      LOOK_BEFORE_TOUCHING,
      'If somebody only switched it off at the end of the day: most machines are left on through the night, and its manual says how it is started.',
      GOES_HOME,
      CAP_BY_MANUAL,
      'If it shall stay off, say on the board that it is out of service, and follow the storage procedure of its manual.',
    ],
    cautions: POWER_CAUTIONS,
    supplies: [],
  }),
  powerFlickering: ({ title, settings: { limits } }) => ({
    title: `Find out why the power of ${title} comes and goes`,
    why: `It fell ${limits.flickering.times} times or more within ${durationText(limits.flickering.withinMs)}. Each time the machine starts anew, and a loose contact can get hot.`,
    steps: [
      LOOK_BEFORE_TOUCHING,
      'See whether plug and power strip sit firmly, without moving them while anything is hot or smells.',
      'Ask whether something large on the same circuit was switched each time: a heat press, a dryer, a compressor.',
      'Take the machine off a worn power strip; have a worn socket replaced by an electrician.',
      GOES_HOME,
      'If all of that is sound, the supply of the machine may be at its end: call its service.',
    ],
    cautions: [PLUG_IN_METER, ...POWER_CAUTIONS],
    supplies: [],
  }),
  mainsLost: ({ title }) => ({
    title: `Find out why ${title} has no mains, then see to every machine`,
    why: 'Without power no machine cleans its heads, and one that was printing is probably off its cap.',
    steps: [
      'Find out from outside whether the street is dark or only the shop: lamps, neighbours, the grid operator.',
      LOOK_BEFORE_TOUCHING,
      'Write down which machines were printing: their heads are probably off their caps. Cap them only as their manuals say.',
      'When the mains has come back by itself, go to each machine, one after the other: some stay off, and their manuals say how they are started after a power cut.',
      GOES_HOME,
      CLEAN_AND_LOG,
    ],
    cautions: POWER_CAUTIONS,
    supplies: ['A torch'],
  }),
}
