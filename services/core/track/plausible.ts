import type { PlausibleRule } from './trust-rule.ts'
import type { TrustState } from './trust-state.ts'

interface Value {
  readonly atMs: number
  readonly value: number
}

/** PLAUSIBLE-1 a value outside the range is bad, whatever came before. */
export function isOutside({ value }: Value, { lowest, highest }: PlausibleRule): boolean {
  return value < lowest || value > highest
}

/**
 * PLAUSIBLE-2 a jump from the reading before it, larger than air in a room can make in that time, is bad; after a
 *             silence nothing is known of the way between.
 * PLAUSIBLE-3 one bad reading condemns nobody: it takes `bad.readings` over at least `bad.overMs`, none later than
 *             `bad.gapMs` after the one before (or than a reading stands, if that is longer).
 * PLAUSIBLE-4 believed again after `good.readings` good ones in a row, over as long as the bad stretch lasted, but at
 *             least `good.atLeastMs` and at most `good.atMostMs`; a silence begins the row anew.
 */
export function stepPlausible(
  state: TrustState,
  reading: Value,
  rule: PlausibleRule,
  { silent, validForMs }: { readonly silent: boolean; readonly validForMs: number },
): void {
  const bad = isOutside(reading, rule) || (!silent && isJump(state, reading, rule))
  if (state.implausible?.distrusted) {
    if (bad) noteStillBad(state, reading, rule)
    else noteGood(state, reading, rule, silent)
  } else if (bad) {
    noteBad(state, reading, rule, Math.max(rule.bad.gapMs, validForMs))
  }
  if (bad) state.lastBadMs = reading.atMs
}

function isJump({ lastMs, lastValue }: TrustState, { atMs, value }: Value, rule: PlausibleRule): boolean {
  return lastMs !== null && Math.abs(value - lastValue) > rule.jump + rule.jumpPerMs * (atMs - lastMs)
}

function noteBad(state: TrustState, { atMs, value }: Value, { bad }: PlausibleRule, gapMs: number): void {
  if (state.badReadings === 0 || state.lastBadMs === null || atMs - state.lastBadMs > gapMs) {
    state.badFromMs = atMs
    state.badReadings = 0
  }
  state.badReadings++
  if (state.badReadings < bad.readings || atMs - state.badFromMs < bad.overMs) return
  state.implausible = { distrusted: true, sinceMs: state.badFromMs, sureMs: atMs, value, worst: value }
  state.goodReadings = 0
}

function noteStillBad(state: TrustState, { value }: Value, { lowest, highest }: PlausibleRule): void {
  state.goodReadings = 0
  const { implausible } = state
  const middle = (lowest + highest) / 2
  if (implausible && Math.abs(value - middle) > Math.abs(implausible.worst - middle))
    implausible.worst = value
}

function noteGood(state: TrustState, { atMs, value }: Value, { good }: PlausibleRule, silent: boolean): void {
  if (silent || state.goodReadings === 0) {
    state.goodFromMs = atMs
    state.goodReadings = 0
  }
  state.goodReadings++
  const { implausible, lastBadMs } = state
  if (!implausible || state.goodReadings < good.readings) return
  const badForMs = (lastBadMs ?? implausible.sureMs) - implausible.sinceMs
  const neededMs = Math.min(good.atMostMs, Math.max(good.atLeastMs, badForMs))
  if (atMs - state.goodFromMs < neededMs) return
  const { worst } = implausible
  state.implausible = { distrusted: false, sinceMs: state.goodFromMs, sureMs: atMs, value, worst }
  state.badReadings = 0
}
