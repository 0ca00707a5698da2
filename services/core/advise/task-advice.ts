import { titleOf } from '../alarms/alarm-reason.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Condition } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'
import type { Task } from '../model/task.ts'

/** What a task tells the person who does it. */
export type TaskAdvice = Pick<Task, 'title' | 'why' | 'steps' | 'cautions' | 'supplies'>

const MANUAL_FIRST =
  "The machine's own manual goes first. Follow its service position and isolation before reaching in."
const MAINS =
  'If a breaker or residual-current device tripped, or anything is wet, leave it off and call an electrician. Never open mains wiring.'
const NOZZLE_FACE = 'Never touch the nozzle face, and never push a carriage that is not free.'
const GLOVES = 'Wear gloves and eye protection.'
const LOCAL_RULES =
  'Waste ink is regulated differently from place to place: follow your local rules, or a licensed hauler.'

/**
 * The task that an alarm asks for. Steps are common practice, no source; cautions defer to the manual, to local
 * codes and to licensed practice.
 */
export function taskAdvice(alarm: Alarm, settings: Settings): TaskAdvice {
  return ADVICE[alarm.condition](titleOf(alarm.subject, settings), { alarm, settings })
}

type Advise = (title: string, context: { alarm: Alarm; settings: Settings }) => TaskAdvice

const ADVICE: Record<Condition, Advise> = {
  airDry: (title, { settings }) => ({
    title: `Bring the air in ${title} back above ${settings.limits.airDryPct.closeAbove} %RH`,
    why: 'Below about 40 %RH water-based ink dries at the nozzles, white ink first.',
    steps: [
      'Fill the humidifier, switch it on, and set it to 45 to 50 %RH.',
      'Shut windows and doors to drier air; turn heaters and fans away from the machines.',
      'See that every carriage stands at home, so that the caps seal the heads. Only look.',
      'Come back after half an hour and see on the board whether the humidity rises.',
      'If it cannot be helped before opening: start the morning with a cleaning and a nozzle check.',
    ],
    cautions: ['Keep water away from sockets and machines.', MANUAL_FIRST, NOZZLE_FACE],
    supplies: ['Water for the humidifier, as its manual asks'],
  }),
  powerLost: (title) => ({
    title: `Find out why ${title} is off`,
    why: 'A machine that is off cannot clean its heads, and an uncapped head dries far faster than a capped one.',
    steps: [
      'Look before you touch: smoke, a smell of burning, water, a tripped breaker? Then leave everything off and call an electrician.',
      'If only the plug or the switch was off, switch the machine on as its manual says.',
      'Watch it start. The carriage must go home, so that the cap seals the head.',
      'If the carriage does not go home, re-cap only as the manual says.',
      'When it is ready, run a cleaning and a nozzle check, and log what is missing.',
    ],
    cautions: [MAINS, MANUAL_FIRST, NOZZLE_FACE],
    supplies: [],
  }),
  bottleNear: (title) => ({
    title: `Empty ${title}`,
    why: 'An overfull bottle puts ink on the floor and into the machine, and each cleaning adds to it.',
    steps: [
      'Wait until the machine is not cleaning.',
      'Lift the bottle out upright and cap it; put the spare bottle in its place.',
      'Push the tube well into the neck, and see that nothing pulls on it.',
      'Set the bottle back in the middle of the scale.',
      'Store or hand over the waste ink as your local rules ask, and note how much it was.',
    ],
    cautions: [GLOVES, LOCAL_RULES, MANUAL_FIRST],
    supplies: ['Gloves and eye protection', 'Spare bottle with cap', 'Wipes'],
  }),
  sensorSilent: (_title, { alarm }) => ({
    title: alarm.title.replace('has gone silent', 'is silent: find out why'),
    why: 'What nobody measures is unknown, and unknown is not fine.',
    steps: [
      'See whether the sensor node has power and its light is on.',
      'See whether it reaches the network: restart it if in doubt. It keeps its readings and sends them later.',
      'See whether the sensor itself is still plugged in.',
      'Look at Sensors on the board: it must speak again within a few minutes.',
    ],
    cautions: ['Low-voltage side only. Anything fixed to the mains is work for a licensed electrician.'],
    supplies: [],
  }),
}
