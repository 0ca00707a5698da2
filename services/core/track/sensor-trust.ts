import { noteBroken, stepInStep, type Peer } from './in-step.ts'
import { isOutside, stepPlausible } from './plausible.ts'
import { stepStill } from './still.ts'
import type { TrustRule } from './trust-rule.ts'
import { isTrusted, type TrustState } from './trust-state.ts'

/**
 * A reading comes to what is known of its sensor. Gives whether the reading may be believed. Nothing here is decided
 * by time alone: a sensor that says nothing proves nothing of itself, so trust asks for no deadline.
 *
 * TRUST-1 a sensor that is stuck, implausible or out of step is not believed (rules STILL, PLAUSIBLE, STEP).
 * TRUST-2 a value outside its range is not believed even from a sensor that still is.
 * TRUST-3 a broken sensor is broken for one cause: values outside the range count as no value to be stuck at, and one
 *         that is stuck or implausible is not held against its neighbours.
 *
 * @param peers the other sensors of its quantity in its room
 */
export function stepTrust(
  state: TrustState,
  reading: { readonly atMs: number; readonly value: number },
  rule: TrustRule,
  peers: readonly Peer[],
): boolean {
  const { atMs, value } = reading
  const silent = state.lastMs !== null && atMs - state.lastMs > rule.validForMs
  const outside = rule.plausible !== null && isOutside(reading, rule.plausible)
  if (rule.plausible) stepPlausible(state, reading, rule.plausible, { silent, validForMs: rule.validForMs })
  if (rule.still && !outside) stepStill(state, reading, rule.still, silent)
  const broken = state.stuck?.distrusted === true || state.implausible?.distrusted === true
  if (broken) noteBroken(state)
  else if (rule.inStep && !outside) stepInStep(state, reading, { inStep: rule.inStep, peers, silent })
  state.lastMs = atMs
  state.lastValue = value
  return !outside && isTrusted(state)
}
