import { probabilityFullBefore } from '../forecast/bottle-ahead.ts'
import { bottleAheadOf, filledBeforeMs } from '../forecast/bottle-will-fill.ts'
import type { Bottle } from '../model/settings.ts'
import type { BottleView } from '../model/views.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import type { SubjectContext } from '../track/tracker.ts'

/** A waste bottle now and ahead. */
export function bottleView(
  bottle: Bottle,
  machineId: string,
  known: { readonly facts: BottleFacts; readonly context: SubjectContext } | undefined,
  nowMs: number,
): BottleView {
  const ahead = known && bottleAheadOf(known.facts, known.context, { atMs: nowMs })
  const untilMs = known && filledBeforeMs(nowMs, known.context)
  const limits = known?.context.settings.limits
  return {
    id: bottle.id,
    title: bottle.title,
    fillPct: known?.facts.fillPct == null ? null : rounded(known.facts.fillPct),
    volumeMl: known?.facts.volumeMl == null ? null : Math.round(known.facts.volumeMl),
    capacityMl: bottle.capacityMl,
    nearPct: limits?.bottleNearPct.openAbove ?? 100,
    fullPct: limits?.bottleFullPct.openAbove ?? 100,
    sharedBy: bottle.machines.filter((id) => id !== machineId),
    standing: known?.facts.standing ?? 'unknown',
    ahead: (ahead?.fillPct ?? [])
      .filter(([atMs]) => atMs <= (untilMs ?? nowMs))
      .map(([atMs, p10, p50, p90]) => [Math.round(atMs), rounded(p10), rounded(p50), rounded(p90)]),
    reachesFull: ahead?.reaches ?? null,
    probabilityBeforeOpening: ahead && untilMs !== undefined ? probabilityFullBefore(ahead, untilMs) : null,
    newTareKg: known?.facts.newTareKg ?? null,
  }
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10
}
