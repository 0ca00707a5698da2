import type { MachineFacts } from '../track/machine.ts'
import type { Detector } from './detector.ts'
import type { HoldState } from './hold.ts'
import { whileOff } from './machine-off.ts'

/**
 * A machine that was off already when the shop closed: switched off at the end of the day, or forgotten. It should
 * stay on, since a machine that is off cannot clean its heads (common practice, no source).
 *
 * LEFT-1 opens `closedMs` after closing, for a machine that went off while the shop was open and is still off.
 * LEFT-2 the first sign of power at the machine closes it.
 * LEFT-3 a machine that goes off in closed hours was not left off: it lost power (POWER-1). A silence in between changes
 *        nothing.
 * LEFT-4 silence is no sign of being off (HOLD-4).
 */
export const leftOff: Detector<HoldState, MachineFacts> = whileOff({
  condition: 'leftOff',
  counts: ({ power }, { calendar }) => {
    // After a silence it is heard to be off again, and went off before.
    const fellMs = power.fallsMs.at(-1) ?? power.sinceMs
    return fellMs !== null && calendar.isOpenAt(fellMs)
  },
  onDelayMs: (onsetMs, { calendar, settings }) =>
    calendar.closedFrom(onsetMs) - onsetMs + settings.limits.powerOff.closedMs,
})
