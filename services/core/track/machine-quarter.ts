import { QUARTER_MS, type MachineDoing, type MachineQuarter } from '../model/quarter.ts'
import { certainDoseKpaH } from './certain-dose.ts'
import { deficitKpa, doseKpaH, groupsOf } from './drying.ts'
import type { MachineFacts } from './machine.ts'
import type { SubjectContext } from './tracker.ts'

/**
 * The quarter of an hour that ends at `endMs`, out of what is known then.
 *
 * QUARTER-1 a state is counted from when it began, also where that became sure only later within the quarter.
 * QUARTER-2 time before the machine came under watch, or of which nothing is kept any more, is not counted.
 * QUARTER-3 a head counts as off its cap from when that began; one that was capped again within the quarter, as capped.
 */
export function machineQuarter(
  facts: MachineFacts,
  endMs: number,
  { settings, subject }: SubjectContext,
): MachineQuarter {
  const fromMs = endMs - QUARTER_MS
  const { cap, drying } = facts
  const uncappedMs = cap.state === 'capped' ? 0 : endMs - Math.max(cap.sinceMs ?? fromMs, fromMs)
  return {
    machineId: subject.id,
    endMs,
    seconds: secondsIn(facts.states, fromMs, endMs),
    cleanings: facts.cleanings.filter((c) => c.basis !== 'assumed' && c.atMs > fromMs && c.atMs <= endMs)
      .length,
    uncappedS: Math.round(uncappedMs / 1000),
    deficitKpa: rounded(deficitKpa(facts)),
    inks: groupsOf(settings, subject.id).map(({ id }) => ({
      channelGroupId: id,
      doseKpaH: rounded(doseKpaH(drying, id, endMs)) ?? 0,
      certainKpaH: rounded(certainDoseKpaH(facts, id, endMs)),
    })),
  }
}

function secondsIn(states: MachineFacts['states'], fromMs: number, endMs: number): MachineQuarter['seconds'] {
  const seconds: Partial<Record<MachineDoing, number>> = {}
  states.forEach((s, i) => {
    const lastedMs = Math.min(states[i + 1]?.fromMs ?? endMs, endMs) - Math.max(s.fromMs, fromMs)
    if (lastedMs > 0) seconds[s.state] = (seconds[s.state] ?? 0) + lastedMs / 1000
  })
  return seconds
}

function rounded(value: number | null): number | null {
  return value === null ? null : Math.round(value * 1000) / 1000
}
