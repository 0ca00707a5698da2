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

/** How the states are told apart, in the few letters that the lane has room for; null with nothing known. */
export function bandsWords({ bandsFrom, spans, now }: Power): string | null {
  if (bandsFrom !== null) return BANDS_WORDS[bandsFrom]
  return spans.length === 0 && now === 'unknown' ? null : ON_OFF_ONLY
}

export const ON_OFF_ONLY = 'on and off only'
export const BANDS_WORDS: Readonly<Record<NonNullable<Power['bandsFrom']>, string>> = {
  learned: 'bands learned',
  told: 'bands told',
  startingValues: 'starting bands',
}

/** How a cleaning on the strip is known. */
export const CLEANING_WORDS: Readonly<Record<MachineView['cleanings'][number]['basis'], string>> = {
  seen: 'seen on the meter',
  logged: 'logged by a person',
  assumed: 'assumed from its interval',
}
