import { GLOVES, LOCAL_RULES, MANUAL_FIRST, PROTECTION, SLIPPERY } from './cautions.ts'
import type { TaskAdvice, TaskMaterial, TasksOf } from './task-words.ts'

const BOTTLE_CAUTIONS = [GLOVES, LOCAL_RULES, MANUAL_FIRST]
const FLOOR_CAUTIONS = [SLIPPERY, ...BOTTLE_CAUTIONS]
const WIPE_UP = 'Wipe up what ran out, and keep the wipes with the waste ink: they are regulated like it.'
const SWAP = [
  'Wait until the machine is not cleaning.',
  'Lift the bottle out upright and cap it; put the spare bottle in its place.',
  'Push the tube well into the neck, and see that nothing pulls on it.',
  'Set the bottle back in the middle of the scale.',
  'Store or hand over the waste ink as your local rules ask, and note how much it was.',
]

export const bottleTasks: TasksOf<
  'bottleNear' | 'bottleFull' | 'bottleWillFill' | 'bottleMissing' | 'bottleLosingWeight' | 'wasteNotArriving'
> = {
  bottleNear: (material) => ({
    ...emptying(material),
    why: 'An overfull bottle puts ink on the floor and into the machine, and each cleaning adds to it.',
  }),
  bottleFull: (material) => ({
    ...emptying(material),
    title: `Empty ${material.title} before the next cleaning`,
    why: 'It is full: with the next cleaning ink can run onto the floor and into the machine.',
    steps: [
      'Look before you touch: is there ink on the floor already, or near a socket?',
      'See on the screen of the machine whether it is about to clean. If its manual shows how to put that off, do so.',
      ...SWAP,
      WIPE_UP,
    ],
    cautions: FLOOR_CAUTIONS,
  }),
  bottleWillFill: (material) => ({
    ...emptying(material),
    title: `Empty ${material.title} before it must take the night`,
    why: 'By the way it usually fills, it may well be full before somebody comes to empty it.',
  }),
  bottleMissing: ({ title }) => ({
    title: `Put ${title} back on its scale`,
    why: 'With no bottle in place the next cleaning runs onto the floor and into the machine.',
    steps: [
      'Put the bottle back, or an empty one, in the middle of the scale.',
      'Push the tube well into the neck, and see that nothing pulls on it.',
      WIPE_UP,
      'If it stands there and the board does not see it: does the scale stand level, and does anything hold the bottle up?',
    ],
    cautions: FLOOR_CAUTIONS,
    supplies: [PROTECTION, 'A bottle that fits the tube', 'Wipes'],
  }),
  bottleLosingWeight: ({ title }) => ({
    title: `Find out why ${title} grows lighter`,
    why: 'It leaks, or somebody takes from it: waste evaporates, but not so fast.',
    steps: [
      'Look under the bottle, around the scale and along the hose for ink.',
      'If it leaks, put a sound bottle in its place at once, and the old one into a tray.',
      WIPE_UP,
      'If it is dry, see whether the tube or a cable pulls the bottle upwards, or whether the scale stands askew.',
      'If somebody took waste from it, note how much and where it went.',
    ],
    cautions: FLOOR_CAUTIONS,
    supplies: [PROTECTION, 'Spare bottle with cap', 'A tray', 'Wipes'],
  }),
  wasteNotArriving: ({ title }) => ({
    title: `Find out where the waste goes that ${title} should get`,
    why: 'The machine cleaned itself, and the scale did not grow heavier: the ink went somewhere else.',
    steps: [
      'Look at the floor, under the machine and behind it.',
      'Follow the hose from the machine to the bottle: is it off, bent, blocked or frozen stiff with ink?',
      'Push the tube well into the neck, and see that it does not carry the bottle.',
      'If the hose is blocked, clean or replace it as the manual says.',
      WIPE_UP,
      'Run a cleaning, stand by, and watch the waste reach the bottle.',
    ],
    cautions: FLOOR_CAUTIONS,
    supplies: [PROTECTION, 'Wipes', 'Spare hose, as the manual names it'],
  }),
}

function emptying({ title }: TaskMaterial): Omit<TaskAdvice, 'why'> {
  return {
    title: `Empty ${title}`,
    steps: SWAP,
    cautions: BOTTLE_CAUTIONS,
    supplies: [PROTECTION, 'Spare bottle with cap', 'Wipes'],
  }
}
