import { humidityText, temperatureText } from '../../alarms/measured-text.ts'
import type { Settings } from '../../model/settings.ts'
import { FIRE, HEATER, LOOK_BEFORE_TOUCHING, MANUAL_FIRST, NOZZLE_FACE, WATER_AWAY } from './cautions.ts'
import type { TasksOf } from './task-words.ts'

const AT_HOME = 'See that every carriage stands at home, so that the caps seal the heads. Only look.'
const COME_BACK = 'Come back after half an hour and see on the board whether it gets better.'
const MORNING = 'If it cannot be helped before opening: start the morning with a cleaning and a nozzle check.'
const HUMIDIFIER_WATER = 'Water for the humidifier, as its manual asks'

export const airTasks: TasksOf<'airDry' | 'airVeryDry' | 'airDamp' | 'roomCold' | 'roomWarm'> = {
  airDry: ({ title, alarm, settings }) => ({
    title: `Bring the air in ${title} back above ${humidityText(settings.limits.airDryPct.closeAbove)}`,
    why: 'Below about 40 %RH water-based ink dries at the nozzles, white ink first.',
    steps: [
      `Fill the humidifier, switch it on, and set it to about ${humidityText(targetPct(alarm.subject.id, settings))}.`,
      'Shut windows and doors to drier air; turn heaters and fans away from the machines.',
      AT_HOME,
      COME_BACK,
      MORNING,
    ],
    cautions: [WATER_AWAY, MANUAL_FIRST, NOZZLE_FACE],
    supplies: [HUMIDIFIER_WATER],
  }),
  airVeryDry: ({ title, settings }) => ({
    title: `Bring the air in ${title} back above ${humidityText(settings.limits.airVeryDryPct.closeAbove)}, soon`,
    why: 'In air this dry ink thickens quickly, and a cap that seals badly no longer protects the head.',
    steps: [
      'Find what dries the room: a heater, a fan, an open door, a humidifier that is empty or off.',
      'Fill the humidifier and let it run; bring a second one if there is one.',
      AT_HOME,
      'Do not leave a machine standing idle in it: run a cleaning now, and again before closing.',
      COME_BACK,
      MORNING,
    ],
    cautions: [WATER_AWAY, MANUAL_FIRST, NOZZLE_FACE],
    supplies: [HUMIDIFIER_WATER],
  }),
  airDamp: ({ title, settings }) => ({
    title: `Bring the air in ${title} back below ${humidityText(settings.limits.airDampPct.closeBelow)}`,
    why: 'Well above 60 %RH film and powder take up moisture, and transfers may not hold.',
    steps: [
      'See whether a humidifier runs too strongly; turn it down or off.',
      'Look for water: a leak, a wet floor, an open tank.',
      'Dry the room with a dehumidifier, or air it if the air outside is drier.',
      'Close up film and powder, and keep opened rolls in their bags.',
      'Before the next job, print and press one small piece, and see whether it holds.',
    ],
    cautions: [LOOK_BEFORE_TOUCHING, WATER_AWAY],
    supplies: ['Closed bags or boxes for film and powder'],
  }),
  roomCold: ({ title, settings }) => ({
    title: `Warm ${title} to above ${temperatureText(settings.limits.roomColdC.closeAbove, settings.site)}`,
    why: 'Cold ink runs thick, so that drops go astray and nozzles drop out; frozen ink is spoilt.',
    steps: [
      'Find out why it is cold: heating off, a door or window open.',
      `Warm the room slowly, to about ${temperatureText(20, settings.site)}, and keep heaters from blowing at the machines.`,
      'Watch the humidity on the board: heating dries the air, so let the humidifier run with it.',
      'Give machines and ink some hours to warm through, then check the nozzles before the first job.',
      'If the room may have frozen, ask the maker of the ink before you print with it.',
    ],
    cautions: [HEATER, WATER_AWAY, MANUAL_FIRST],
    supplies: [],
  }),
  roomWarm: ({ title, settings }) => ({
    title: `Cool ${title} to below ${temperatureText(settings.limits.roomWarmC.closeBelow, settings.site)}`,
    why: 'Warm air takes up more water, so that ink dries sooner at the nozzles; powder may clump.',
    steps: [
      'Look and smell first: is it a machine, a dryer or a heater that runs hot?',
      'Shade the windows; air the room if it is cooler outside, or cool it.',
      'Keep draughts away from the machines, and see that their vents and fans are free.',
      'Watch the humidity on the board: cooling and airing change it too.',
    ],
    cautions: [FIRE, LOOK_BEFORE_TOUCHING, MANUAL_FIRST],
    supplies: [],
  }),
}

function targetPct(roomId: string, { rooms }: Settings): number {
  return rooms.find((r) => r.id === roomId)?.targetPct ?? 45
}
