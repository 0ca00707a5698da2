import {
  ELECTRICIAN,
  GLOVES,
  LOCAL_RULES,
  LOOK_BEFORE_TOUCHING,
  MANUAL_FIRST,
  NOZZLE_FACE,
  PROTECTION,
} from './cautions.ts'
import type { TasksOf } from './task-words.ts'

const CLEAN_AND_CHECK =
  'Run a cleaning as the manual says, then print a nozzle check, and log what is missing.'
const NOT_AGAIN_AND_AGAIN =
  'If nozzles are still missing, wait and clean once more, as the manual says. Many cleanings in a row waste ink and may do harm.'
const IF_OFF = 'If the machine is off, find out why before you switch it on.'
const HEAD_CAUTIONS = [MANUAL_FIRST, NOZZLE_FACE]

export const headTasks: TasksOf<
  'headDrying' | 'headWillDry' | 'offItsCap' | 'notCleaning' | 'stoppedOnError' | 'idleTooLong'
> = {
  headDrying: ({ title, machine }) => ({
    title: `Wet the nozzles: ${title} is drying out`,
    why: 'It was neither printed with nor cleaned for longer than air this dry allows. White ink goes first.',
    steps: [
      `Look at ${machine}: is it on, and does the carriage stand at home? ${IF_OFF}`,
      CLEAN_AND_CHECK,
      NOT_AGAIN_AND_AGAIN,
      'If it was cleaned already and Nightcap could not see it, log the cleaning on the board.',
      'Look at the humidity of the room, and bring it back if it is low.',
    ],
    cautions: [...HEAD_CAUTIONS, ELECTRICIAN],
    supplies: ['Film for a nozzle check'],
  }),
  headWillDry: ({ title, machine }) => ({
    title: `Help ${title} through until opening`,
    why: 'Held against past nights, it may well pass its drying limit before somebody comes.',
    steps: [
      `Look at ${machine}: is it on, and does the carriage stand at home? ${IF_OFF}`,
      'See that the humidifier has water and runs, and shut doors and windows to drier air.',
      CLEAN_AND_CHECK,
      'If the machine must stay off, follow the storage procedure of its manual: that is what keeps the head moist.',
    ],
    cautions: [...HEAD_CAUTIONS, ELECTRICIAN],
    supplies: ['Water for the humidifier, as its manual asks', 'Film for a nozzle check'],
  }),
  offItsCap: ({ title }) => ({
    title: `Bring the head of ${title} back onto its cap`,
    why: 'Off its cap ink dries far faster than on it, and nozzles can be lost within hours.',
    steps: [
      LOOK_BEFORE_TOUCHING,
      'If it has no power, find out why first. Without power the head is capped only as the manual says.',
      'If it has power: send the carriage home from its screen.',
      'If the carriage does not go home, cap the head only as the manual says. Without power some manuals show how to do it by hand, others forbid it.',
      'When the head is on its cap, say so on the board.',
      CLEAN_AND_CHECK,
    ],
    cautions: [ELECTRICIAN, ...HEAD_CAUTIONS],
    supplies: ['The manual of the machine', 'Film for a nozzle check'],
  }),
  notCleaning: ({ title }) => ({
    title: `Find out why ${title} no longer cleans itself`,
    why: 'A machine that stands without cleaning dries as if it were off, while everything looks well.',
    steps: [
      'Read its screen: an error, an empty ink, a full waste counter, an open cover?',
      'Look in its settings whether self-cleaning is on, and how often.',
      CLEAN_AND_CHECK,
      'If it does clean itself and Nightcap does not see it, log a few cleanings on the board, so that it learns them anew.',
    ],
    cautions: [...HEAD_CAUTIONS, ELECTRICIAN],
    supplies: ['Film for a nozzle check'],
  }),
  stoppedOnError: ({ title }) => ({
    title: `Clear the error on ${title}`,
    why: 'Until somebody comes it neither prints nor cleans, and its head may be off its cap.',
    steps: [
      'Look before you touch: where does the carriage stand, and is film or anything else in its way?',
      'Read the error on its screen, and do what its manual says about it. Nothing more.',
      'If the head is off its cap and cannot go home, say so on the board: that is more urgent than the error.',
      'When it runs again, say so on the board.',
      CLEAN_AND_CHECK,
    ],
    cautions: [...HEAD_CAUTIONS, ELECTRICIAN],
    supplies: ['The manual of the machine'],
  }),
  idleTooLong: ({ title, machine }) => ({
    title: `Move ${title} before it settles`,
    why: 'White pigment settles. Prints then come out thin, and what has settled clogs nozzles.',
    steps: [
      'Shake, stir or circulate the white ink as the manual says: some machines do it from a menu.',
      `Print a little white on ${machine}, and look whether it covers evenly.`,
      'Print a nozzle check, and log what is missing.',
      'Log the stirring on the board, so that the time counts anew.',
      'If it will stand for many days, follow the storage procedure of the manual.',
    ],
    cautions: [GLOVES, MANUAL_FIRST, NOZZLE_FACE, LOCAL_RULES],
    supplies: [PROTECTION, 'Film for a white test print'],
  }),
}
