import type { ScaleStep, Settling } from '../models/scale-walk.ts'

/** What to do at each weighing. */
export const SCALE_STEP_WORDS: Readonly<Record<ScaleStep, { title: string; todo: string; taken: string }>> = {
  empty: {
    title: 'The empty scale',
    todo: 'Take the bottle off. Leave the plate bare, and touch nothing.',
    taken: 'the scale with nothing on it',
  },
  weight: {
    title: 'A weight that you know',
    todo: 'Put a weight on whose mass you know: a sealed canister, or one from a kitchen scale.',
    taken: 'the weight',
  },
  bottle: {
    title: 'The empty bottle',
    todo: 'Take the weight off and put the empty bottle on, with its hose as it hangs in service.',
    taken: 'the empty bottle',
  },
  full: {
    title: 'The full line',
    todo: 'Fill the bottle with water up to its full line and put it back. Or leave this out: the volume that is set then stays.',
    taken: 'the bottle at its full line',
  },
}

/** Steady or not, in words; never by colour alone. */
export function settlingWords(settling: Settling): string {
  switch (settling.kind) {
    case 'silent':
      return 'Waiting for the scale to speak.'
    case 'fewReadings':
      return settling.missing === 1 ? 'Listening: one more reading.' : `Listening: ${settling.missing} more readings.`
    case 'moving':
      return 'Not steady yet.'
    case 'sameAsBefore':
      return 'Nothing has changed since the last step.'
    case 'emptyAgain':
      return 'The scale is empty again.'
    case 'steady':
      return 'Steady.'
  }
} // prettier-ignore
