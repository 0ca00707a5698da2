import type { MachineNight } from '../forecast/machine-night.ts'
import { bandOf } from '../forecast/quantile.ts'
import type { MachineView, NightView } from '../model/views.ts'
import type { MachineFacts } from '../track/machine.ts'
import { powerRuleIn } from '../track/power-rule.ts'
import type { SubjectContext } from '../track/tracker.ts'

/** Power, cap and cleanings of a machine as its own facts tell them. */
export type MachineNow = Pick<MachineView, 'power' | 'cleanings' | 'cap' | 'servicedUntilMs'>

export function machineNow(
  facts: MachineFacts,
  context: SubjectContext,
  { fromMs, nowMs }: { fromMs: number; nowMs: number },
): MachineNow {
  const { cap, power } = facts
  const rule = powerRuleIn(context)
  return {
    power: {
      now: power.state,
      spans: spansOf(facts, { fromMs, nowMs }),
      bandsFrom: rule.meterId === null ? null : rule.bandsFrom,
    },
    cleanings: facts.cleanings.filter((c) => c.atMs >= fromMs).map((c) => ({ ...c })),
    cap: power.state === 'unknown' && cap.sinceMs === null ? 'unknown' : cap.state,
    servicedUntilMs: cap.servicedUntilMs,
  }
}

function spansOf(
  { states, power }: MachineFacts,
  { fromMs, nowMs }: { fromMs: number; nowMs: number },
): MachineView['power']['spans'] {
  // What was never heard of has no spans; the last known state reaches to its last reading, or to now.
  const endMs = power.state === 'unknown' ? (power.sinceMs ?? nowMs) : nowMs
  return states
    .map(({ fromMs: at, state }, i) => ({ fromMs: at, toMs: states[i + 1]?.fromMs ?? endMs, state }))
    .filter((span) => span.toMs > fromMs && span.toMs > span.fromMs)
    .map((span) => ({ ...span, fromMs: Math.max(span.fromMs, fromMs) }))
}

/** The forecast of the room's humidity through the coming night. */
export function nightView({ madeMs, toMs, room }: MachineNight): NightView {
  const lines = room.paths.map((p) => p.humidityPct)
  return {
    madeMs,
    fromMs: madeMs,
    toMs,
    basis: room.basis,
    days: room.days,
    humidityPct: bandOf(room.atMs, lines).map(([at, a, b, c]) => [
      Math.round(at),
      rounded(a),
      rounded(b),
      rounded(c),
    ]),
  }
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10
}
