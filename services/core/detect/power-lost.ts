import type { MachineFacts } from '../track/machine.ts'
import type { Detector } from './detector.ts'
import type { HoldState } from './hold.ts'
import { whileOff } from './machine-off.ts'

/**
 * A machine without power. A machine that is off cannot clean its heads, so it is left on day and night (common
 * practice, no source).
 *
 * POWER-1 opens when the machine has been off for `closedMs` while the shop is closed, or for `openMs` at any time,
 *         whichever comes first. Off before closing time counts in closed hours from closing on.
 * POWER-2 the first sign of power at the machine itself closes it, dated to that sign.
 * POWER-3 off means that every sensor that still speaks says so: a contact at 0, a meter below its off limit.
 * POWER-4 silence is no sign of being off: a wait ends when its last reading is too old (HOLD-4).
 */
export const powerLost: Detector<HoldState, MachineFacts> = whileOff({
  condition: 'powerLost',
  counts: () => true,
  onDelayMs: (onsetMs, { calendar, settings }) => {
    const { closedMs, openMs } = settings.limits.powerOff
    return Math.min(openMs, calendar.closedFrom(onsetMs) - onsetMs + closedMs)
  },
})
