import type { StillRule } from './trust-rule.ts'
import type { TrustState } from './trust-state.ts'

/** Differences below this are arithmetic, not measurement. */
const SAME = 1e-6

/**
 * A sensor that repeats exactly one value far longer than its quantity ever does.
 *
 * STILL-1 stuck after `fineMs` of equal readings, at least `readings` of them, from a source that was seen to tell
 *         small steps; it began with the first of them.
 * STILL-2 a source that rounds coarsely, or was never seen to change, may stand still for `coarseMs`.
 * STILL-3 a silence longer than a reading stands begins the stretch anew.
 * STILL-4 believed again at the second change of value, dated to the first.
 */
export function stepStill(
  state: TrustState,
  { atMs, value }: { readonly atMs: number; readonly value: number },
  rule: StillRule,
  silent: boolean,
): void {
  const step = Math.abs(value - state.lastValue)
  if (state.lastMs === null) return begin(state, atMs)
  if (step >= SAME) {
    if (state.finestStep === null || step < state.finestStep) state.finestStep = step
    begin(state, atMs)
    if (state.stuck?.distrusted) noteChange(state, atMs, value)
    return
  }
  if (silent) return begin(state, atMs)
  state.stillReadings++
  if (state.stuck?.distrusted || state.stillReadings < rule.readings) return
  const limitMs = tellsSmallSteps(state, rule.fineStep) ? rule.fineMs : rule.coarseMs
  if (limitMs === null || atMs - state.stillFromMs < limitMs) return
  state.stuck = { distrusted: true, sinceMs: state.stillFromMs, sureMs: atMs, value, worst: value }
  state.changedMs = null
}

/** Was the source ever seen to tell a step this small? 20.1 less 20 is a little more than 0.1 in binary digits. */
export function tellsSmallSteps({ finestStep }: TrustState, fineStep: number): boolean {
  return finestStep !== null && finestStep <= fineStep + SAME
}

function begin(state: TrustState, atMs: number): void {
  state.stillFromMs = atMs
  state.stillReadings = 1
}

/** One change may be a restart to the next stuck value; two are life. */
function noteChange(state: TrustState, atMs: number, value: number): void {
  if (state.changedMs === null) {
    state.changedMs = atMs
    return
  }
  const worst = state.stuck?.worst ?? value
  state.stuck = { distrusted: false, sinceMs: state.changedMs, sureMs: atMs, value, worst }
}
