import { durationText } from '../../model/clock-text.ts'
import { STARTING_VALUE } from './limit-from.ts'
import type { WhyOf } from './why-words.ts'

export const monitorWhy: WhyOf<'monitorDark'> = {
  monitorDark: () => ({
    rule: 'It is on record when the monitor was not running for more than a minute, from when it was last heard of until it came back. It stays on the board until four hours after the shop next opened.',
    limit: STARTING_VALUE,
    measured: { label: 'Dark for', text: (minutes) => durationText(minutes * 60_000) },
    numbers: [],
  }),
}
