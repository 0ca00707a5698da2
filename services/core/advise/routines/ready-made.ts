import type { Routine } from '../../model/routine.ts'
import { GLOVES, LOCAL_RULES, MANUAL_FIRST, NOZZLE_FACE, PROTECTION } from '../tasks/cautions.ts'

const FREE_CARRIAGE =
  'Never push a carriage that is not free: if it does not move by itself, its manual says how it is freed.'
const SERVICE_POSITION =
  'Bring the machine into the service position of its manual, and isolate it as the manual says.'
const HOME_AGAIN = 'Send the carriage home when you are done, so that the cap seals the head.'
const CHECK = 'Print a nozzle check, and log what is missing.'
const REACHING_IN = [MANUAL_FIRST, FREE_CARRIAGE, NOZZLE_FACE]
const MONDAY = {
  kind: 'calendar',
  rule: 'FREQ=WEEKLY;BYDAY=MO',
  time: '09:00',
  startsOn: '2026-01-05',
} as const
const AS_NEEDED = { kind: 'asNeeded' } as const
const OF_MACHINES = { forEach: 'machine', on: true } as const

/**
 * Routines that hold until the owner changes them. All of it is common practice, no source; the machine's own manual
 * goes first. How often each is done is a starting value.
 */
export const READY_MADE_ROUTINES: readonly Routine[] = [
  {
    ...OF_MACHINES,
    id: 'encoder-strip',
    title: 'Wipe the encoder strip',
    why: 'By the strip the carriage knows where it is. With a dirty one it no longer knows where to start and stop.',
    steps: [
      SERVICE_POSITION,
      'Wipe the strip gently along its length with a dry lint-free wipe; where ink sticks, moisten the wipe as the manual says.',
      'See that the strip sits in its holders at both ends, and that nothing of the wipe stays on it.',
      HOME_AGAIN,
    ],
    cautions: [...REACHING_IN, GLOVES],
    tools: [],
    supplies: ['Lint-free wipes'],
    trigger: MONDAY,
  },
  {
    ...OF_MACHINES,
    id: 'pinch-rollers',
    title: 'Look at the pinch rollers and clean them',
    why: 'Ink and powder on the rollers leave marks on the film, and the film runs askew.',
    steps: [
      SERVICE_POSITION,
      'Take the film out, and look at every roller all around.',
      'Wipe each with a lint-free wipe and what the manual names for it, turning it by hand as you go.',
      'Let them dry, put the film back, and print a test.',
      HOME_AGAIN,
    ],
    cautions: [...REACHING_IN, GLOVES],
    tools: ['A torch'],
    supplies: [PROTECTION, 'Lint-free wipes', 'Cleaning solution, as the manual names it'],
    trigger: MONDAY,
  },
  {
    id: 'waste-bottle',
    forEach: 'bottle',
    on: true,
    title: 'Look at the waste bottle, and empty it',
    why: 'Many machines have no sensor on the bottle. An overfull one puts ink on the floor and into the machine.',
    steps: [
      'Look how full it is, and whether the tube sits well in its neck.',
      'If it is half full or more: wait until the machine is not cleaning, lift it out upright and cap it, and put the spare bottle in its place.',
      'Push the tube well into the neck, and see that nothing pulls on it.',
      'Store or hand over the waste ink as your local rules ask, and note it in the disposal log.',
    ],
    cautions: [GLOVES, LOCAL_RULES, MANUAL_FIRST],
    tools: [],
    supplies: [PROTECTION, 'Spare bottle with cap', 'Wipes'],
    trigger: MONDAY,
  },
  {
    ...OF_MACHINES,
    id: 'grease-rails',
    title: 'Clean and grease the carriage rails',
    why: 'Done when the carriage no longer runs smoothly, and not before: too much grease gathers dust.',
    steps: [
      SERVICE_POSITION,
      'Wipe old grease and dust off the rails with a lint-free wipe.',
      'Put on a little white lithium grease, or what the manual names instead, and wipe off what is too much.',
      'Let the machine move its carriage a few times, and listen whether it runs smoothly.',
      'If it still drags, stop, and call its service.',
      HOME_AGAIN,
    ],
    cautions: REACHING_IN,
    tools: [],
    supplies: ['White lithium grease, or what the manual names', 'Lint-free wipes'],
    trigger: AS_NEEDED,
  },
  {
    ...OF_MACHINES,
    id: 'around-head',
    title: 'Clean around the head',
    why: 'Build-up around the head, most of all white, touches the film and keeps the cap from sealing.',
    steps: [
      SERVICE_POSITION,
      'With a long swab and cleaning solution, loosen what has built up beside the head. Leave the nozzle face alone.',
      'Wipe again with a clean swab.',
      HOME_AGAIN,
      CHECK,
    ],
    cautions: [...REACHING_IN, GLOVES],
    tools: ['A torch'],
    supplies: [PROTECTION, 'Long swabs', 'Cleaning solution, as the manual names it'],
    trigger: AS_NEEDED,
  },
  {
    ...OF_MACHINES,
    id: 'missing-nozzles',
    title: 'Bring missing nozzles back',
    why: 'Nozzles that dried come back the easier the sooner they are wetted. White channels clog first.',
    steps: [
      'Look at the drying of the last days: what left the ink to dry comes again if it stays.',
      'Run a cleaning as the manual says, then print a nozzle check, and log what is missing.',
      'If nozzles are still missing, wait and clean once more, as the manual says. Many cleanings in a row waste ink and may do harm.',
      'If it does not get better, stop, and call the service of the machine.',
    ],
    cautions: [MANUAL_FIRST, NOZZLE_FACE],
    tools: [],
    supplies: ['Film for a nozzle check'],
    trigger: AS_NEEDED,
  },
  {
    ...OF_MACHINES,
    id: 'move-white',
    title: 'Move the white ink',
    why: 'White pigment settles while a machine stands. An idle machine that is measured asks for this by itself.',
    steps: [
      'Shake, stir or circulate the white ink as the manual says: some machines do it from a menu.',
      'Print a little white, and look whether it covers evenly.',
      CHECK,
      'Log the stirring on the board, so that the time counts anew.',
    ],
    cautions: [GLOVES, MANUAL_FIRST, NOZZLE_FACE],
    tools: [],
    supplies: [PROTECTION, 'Film for a white test print'],
    trigger: AS_NEEDED,
  },
  {
    ...OF_MACHINES,
    id: 'longer-closure',
    title: 'Prepare for a longer closure',
    why: 'Before days or weeks without printing the storage procedure of the maker applies: a moist cap, or a head that was flushed and wetted.',
    steps: [
      'Read the storage procedure in the manual of the machine. It says for how long which one holds.',
      'Do it as written there, with what it names.',
      'See that the waste bottle can take what the machine may clean meanwhile, and that the humidifier has water.',
      'If the machine shall be off, say on the board that it is out of service.',
    ],
    cautions: [...REACHING_IN, GLOVES, LOCAL_RULES],
    tools: ['The manual of the machine'],
    supplies: [PROTECTION, 'What the manual names for storage'],
    trigger: AS_NEEDED,
  },
]
