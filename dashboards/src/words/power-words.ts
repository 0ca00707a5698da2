import type { MachineView } from '../../../services/core/model/views.ts'

type Power = MachineView['power']

/** What each power state is called, in the words that the sentences of the monitor use. */
export const POWER_WORDS: Readonly<Record<Power['now'], string>> = {
  off: 'off',
  on: 'on',
  standby: 'waiting',
  cleaning: 'cleaning',
  printing: 'printing',
  unknown: 'not known',
}

/** How the states are told apart; null where nothing is known of the power. */
export function bandsWords({ bandsFrom, spans, now }: Power): string | null {
  switch (bandsFrom) {
    case 'learned':
      return "Power states told by bands learned from this machine's own history."
    case 'told':
      return 'Power states told by the bands set by the owner.'
    case 'startingValues':
      return 'Power states told by starting values, until bands are learned.'
    case null:
      return spans.length === 0 && now === 'unknown' ? null : 'Power: on and off only.'
  }
}

/** How a cleaning on the strip is known. */
export const CLEANING_WORDS: Readonly<Record<MachineView['cleanings'][number]['basis'], string>> = {
  seen: 'seen on the meter',
  logged: 'logged by a person',
  assumed: 'assumed from its interval',
}
