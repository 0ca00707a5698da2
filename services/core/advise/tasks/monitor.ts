import { ELECTRICIAN, MANUAL_FIRST, NO_SAFETY_ALARM, NOZZLE_FACE } from './cautions.ts'
import type { TasksOf } from './task-words.ts'

export const monitorTasks: TasksOf<'monitorDark'> = {
  monitorDark: () => ({
    title: 'Go round the machines: Nightcap was not running',
    why: 'What happened while nobody watched is unknown, and unknown is not fine.',
    steps: [
      'Look at every machine: is it on, and does the carriage stand at home?',
      'Look at every waste bottle, and at the floor.',
      'Print a nozzle check on each machine before the first job, and log it.',
      'Find out why the monitor stopped: its power, its plug, somebody who restarted it, a full disk.',
      'If its power failed, put it on a battery supply, with the router and one power node.',
    ],
    cautions: [ELECTRICIAN, MANUAL_FIRST, NOZZLE_FACE, NO_SAFETY_ALARM],
    supplies: ['Film for nozzle checks'],
  }),
}
