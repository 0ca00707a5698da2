import { affectedMachines } from '../assess/affected-machines.ts'
import { quietCovers } from '../alarms/suppression.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Episode } from '../model/episode.ts'
import type { InputOf } from '../model/input.ts'
import type { Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'
import type { KernelState, Quiet } from './state.ts'

/**
 * Planned quiet: what the plan explains is on record, and nobody is told of it.
 *
 * QUIET-1 an episode that opens while quiet covers it raises an alarm that is out of service, or suppressed by design:
 *         on record, without a task, told to nobody. Where it still holds when the quiet ends it is told, with its task.
 * QUIET-2 an alarm that stood before the quiet began stands on: somebody already knows.
 * QUIET-3 a machine out of service covers all that is judged of the machine; power work, what follows from lost power.
 * QUIET-4 quiet for a machine covers that machine alone, quiet for the shop all of them.
 */
export function planQuiet({ shop }: KernelState, input: InputOf<'quietPlanned'>): void {
  const { quietId, kind, machineId, fromMs, toMs, note } = input
  shop.quiets.set(quietId, { kind, machineId, fromMs, toMs, note })
}

export function endQuiet({ shop }: KernelState, { quietId }: InputOf<'quietEnded'>): void {
  shop.quiets.delete(quietId)
}

/** A planned quiet as an alarm in it tells it. */
export interface CoveringQuiet {
  readonly as: 'suppressedByDesign' | 'outOfService'
  readonly told: NonNullable<Alarm['quiet']>
}

/** The planned quiet that covers an episode now: the first that was planned. */
export function coveringQuiet(
  { shop, settings }: KernelState,
  episode: Episode,
  nowMs: number,
): CoveringQuiet | null {
  for (const [quietId, quiet] of shop.quiets) {
    if (!holdsAt(quiet, nowMs) || !quietCovers(quiet.kind, episode.condition)) continue
    if (quiet.machineId !== null && machineMeant(episode.subject, settings) !== quiet.machineId) continue
    const as = quiet.kind === 'outOfService' ? 'outOfService' : 'suppressedByDesign'
    return { as, told: { quietId, untilMs: quiet.toMs, note: quiet.note } }
  }
  return null
}

/** The one machine that a subject is of; null for what serves several: a room, a shared bottle, the site. */
function machineMeant(subject: Subject, settings: Settings): string | null {
  const meant =
    subject.kind === 'sensor' ? settings.sensors.find((s) => s.id === subject.id)?.subject : subject
  if (!meant || meant.kind === 'room' || meant.kind === 'site') return null
  const machines = affectedMachines(meant, settings)
  return machines.length === 1 ? (machines[0]?.id ?? null) : null
}

/** Is this machine said to be out of service now? */
export function isOutOfService(quiets: Iterable<Quiet>, machineId: string, nowMs: number): boolean {
  for (const quiet of quiets) {
    const meant = quiet.machineId === null || quiet.machineId === machineId
    if (quiet.kind === 'outOfService' && meant && holdsAt(quiet, nowMs)) return true
  }
  return false
}

function holdsAt({ fromMs, toMs }: Quiet, atMs: number): boolean {
  return atMs >= fromMs && (toMs === null || atMs < toMs)
}

/** The next end of a planned quiet. */
export function quietEndMs({ shop }: KernelState): number {
  let soonest = Infinity
  for (const { toMs } of shop.quiets.values()) if (toMs !== null && toMs < soonest) soonest = toMs
  return soonest
}

export function forgetOverQuiet({ shop }: KernelState, nowMs: number): void {
  for (const [id, { toMs }] of shop.quiets) if (toMs !== null && toMs <= nowMs) shop.quiets.delete(id)
}
