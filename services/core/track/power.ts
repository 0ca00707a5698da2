import type { Reading } from '../model/input.ts'
import { noteLatest } from './latest.ts'
import { changeState, type PowerFacts, type PowerState, type ReportPower } from './power-facts.ts'
import { cutRuns, takeLevel } from './power-levels.ts'
import type { PowerRule } from './power-rule.ts'
import type { HeardBinding } from './tracker.ts'

export {
  initialPower,
  type PowerChange,
  type PowerFacts,
  type PowerState,
  type ReportPower,
} from './power-facts.ts'

/** What of a subject's context is needed here. */
export interface HeardPower {
  readonly sensors: ReadonlyMap<string, Pick<HeardBinding, 'quantity' | 'validForMs'>>
}

const KEPT_FALLS = 20
/** What a machine did before a silence says what it did when its power fell, if the silence was no longer than this. */
const SAME_OUTAGE_MS = 15 * 60_000
/** In doubt it printed: a head that dries off its cap is worse than an alarm too many. Starting values, no source. */
const PROBABLY_PRINTED_MS = 30_000
const PARKED_AFTER_MS = 45_000
const PARKED_AFTER_INTERVALS = 2.2

/**
 * What a machine's meter and contact say of it, folded reading by reading. Other quantities are left alone.
 *
 * POWER-STATE-1 it is off when every sensor that still speaks says so: a contact at 0, a meter below the off limit. A
 *               sensor that is older than its `validForMs` does not speak; when none does, the state is unknown.
 * POWER-STATE-2 power falls and comes with the first reading that says so. Across a silence too, if it was on before.
 * POWER-STATE-3 a level becomes the state when the machine held it long enough, and the level before has ended; pulses
 *               change nothing, and a print is not cut by its pauses. The change is dated to where the level began.
 * POWER-STATE-4 longer in the cleaning band than any cleaning takes is not cleaning: it is on, and no more is known.
 * POWER-STATE-5 without bands, or while the meter is silent, on is all that is known.
 * POWER-STATE-6 a cleaning that silence or a fall of power cuts was no cleaning; a print counts as far as it was seen.
 */
export function stepPower(
  facts: PowerFacts,
  reading: Reading,
  rule: PowerRule,
  context: HeardPower,
  report: ReportPower,
): void {
  if (reading.quantity !== 'power' && reading.quantity !== 'powered') return
  const { atMs } = reading
  if (powerDeadlineMs(facts, context) < atMs) firePower(facts, atMs, context, report)
  noteLatest(facts.latest, reading)
  facts.asOfMs = atMs
  const on = isOn(facts, atMs, rule, context)
  if (on === null) return
  if (!on) takeOff(facts, atMs, report)
  else takeOn(facts, reading, { rule, context, report })
}

/** When the machine falls silent, unless something is heard before; Infinity while it is silent. */
export function powerDeadlineMs({ state, latest }: PowerFacts, context: HeardPower): number {
  if (state === 'unknown') return Infinity
  let speaksToMs = -Infinity
  for (const { sensorId, atMs } of latest) {
    speaksToMs = Math.max(speaksToMs, atMs + (context.sensors.get(sensorId)?.validForMs ?? 0))
  }
  return speaksToMs === -Infinity ? Infinity : speaksToMs
}

/** The deadline of `powerDeadlineMs` has come, or lies behind a reading at `atMs`. */
export function firePower(facts: PowerFacts, atMs: number, context: HeardPower, report: ReportPower): void {
  const silentFromMs = Math.min(atMs, powerDeadlineMs(facts, context))
  cutRuns(facts, report)
  if (Number.isFinite(silentFromMs)) changeState(facts, 'unknown', silentFromMs, report)
}

/** Settings changed: forgets sensors that are no longer heard. With none left nothing is known. */
export function keepPowerBound(
  facts: PowerFacts,
  atMs: number,
  context: HeardPower,
  report: ReportPower,
): void {
  const { latest } = facts
  for (let i = latest.length - 1; i >= 0; i--) {
    const quantity = context.sensors.get(latest[i]?.sensorId ?? '')?.quantity
    if (quantity !== 'power' && quantity !== 'powered') latest.splice(i, 1)
  }
  if (latest.length > 0 || facts.state === 'unknown') return
  cutRuns(facts, report)
  facts.wasOn = null
  changeState(facts, 'unknown', atMs, report)
}

/** null: no sensor speaks. */
function isOn(
  { latest }: PowerFacts,
  nowMs: number,
  { offBelowW }: PowerRule,
  { sensors }: HeardPower,
): boolean | null {
  let speaks = false
  for (const { sensorId, atMs, value } of latest) {
    const sensor = sensors.get(sensorId)
    if (!sensor || nowMs - atMs > sensor.validForMs) continue
    speaks = true
    if (sensor.quantity === 'power' ? value >= offBelowW : value !== 0) return true
  }
  return speaks ? false : null
}

interface Heard {
  readonly rule: PowerRule
  readonly context: HeardPower
  readonly report: ReportPower
}

function takeOff(facts: PowerFacts, atMs: number, report: ReportPower): void {
  const during = duringOf(facts, atMs)
  cutRuns(facts, report)
  const fell = facts.wasOn === true
  facts.wasOn = false
  changeState(facts, 'off', atMs, report)
  if (!fell) return
  facts.fallsMs.push(atMs)
  if (facts.fallsMs.length > KEPT_FALLS) facts.fallsMs.shift()
  report({ type: 'powerFell', atMs, during })
}

/** What the machine did when its power fell, as far as it was seen. */
function duringOf({ lastOnMs, lastOnState, runs, meter }: PowerFacts, atMs: number): PowerState {
  if (lastOnMs === null || atMs - lastOnMs > SAME_OUTAGE_MS) return 'unknown'
  const { fromMs, lastMs, heldMs } = runs.printing
  if (fromMs === null) return lastOnState
  const parkedAfterMs = Math.max(PARKED_AFTER_MS, PARKED_AFTER_INTERVALS * meter.intervalMs)
  if (lastOnMs - lastMs <= parkedAfterMs && heldMs >= PROBABLY_PRINTED_MS) return 'printing'
  return lastOnState === 'printing' ? 'standby' : lastOnState
}

function takeOn(facts: PowerFacts, reading: Reading, heard: Heard): void {
  const { atMs } = reading
  const { rule, report } = heard
  const came = facts.wasOn === false
  facts.wasOn = true
  if (came) report({ type: 'powerCame', atMs })
  if (facts.state === 'off' || facts.state === 'unknown') changeState(facts, 'on', atMs, report)
  if (rule.bands && reading.sensorId === rule.meterId && reading.value >= rule.offBelowW) {
    takeLevel(facts, reading, rule.bands, report)
  } else if (facts.state !== 'on' && !tellsLevels(facts, atMs, heard)) {
    cutRuns(facts, report)
    changeState(facts, 'on', atMs, report)
  }
  facts.lastOnMs = atMs
  facts.lastOnState = facts.state
}

/** Does the meter still speak, of a machine that is on? */
function tellsLevels({ latest }: PowerFacts, nowMs: number, { rule, context }: Heard): boolean {
  if (!rule.bands || rule.meterId === null) return false
  const validForMs = context.sensors.get(rule.meterId)?.validForMs ?? 0
  const last = latest.find((l) => l.sensorId === rule.meterId)
  return last !== undefined && nowMs - last.atMs <= validForMs && last.value >= rule.offBelowW
}
