import { durationText } from '../../model/clock-text.ts'
import type { ReasonsOf } from '../reason.ts'

/** Nightcap itself. */
export const monitorReasons: ReasonsOf<'monitorDark'> = {
  monitorDark: ({ value, since, night }) => ({
    title: 'Nightcap itself was not running',
    cause: `The monitor stopped at ${since}${value === null ? '' : ` and was away for ${durationText(value * 60_000)}`}.`,
    consequence:
      'What happened meanwhile is unknown, and unknown is not fine. Nobody was told of anything in that time.',
    action:
      'Go round the machines and look for yourself: power, caps, bottles, nozzles. Then find out why the monitor stopped.',
    timeToAct: night
      ? 'In the morning, before the first print.'
      : 'Today: now the machines, and the monitor before closing.',
  }),
}
