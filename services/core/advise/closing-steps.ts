import { tickKey, type ClosingState, type ClosingStep, type ClosingStepView } from '../model/closing.ts'
import type { Machine } from '../model/settings.ts'
import { evidenceOf } from './closing-evidence.ts'
import type { ClosingMaterial } from './closing-material.ts'

/** A step where it is done; `title` null for the shop, `action` what to do where a sensor refutes it. */
export interface StepOfMachine {
  readonly title: string | null
  readonly step: ClosingStepView
  readonly action: string
}

/** A step at one machine, or of the shop (`machine` null), as sensors and people say it stands. */
export function stepView(
  step: ClosingStep,
  machine: Machine | null,
  { material, day }: { material: ClosingMaterial; day: ClosingState },
): StepOfMachine {
  const evidence = evidenceOf(step.confirmedBy, machine, material)
  const act = day.ticks[tickKey(step.id, machine?.id ?? null)]
  const state =
    evidence?.is === 'yes'
      ? 'confirmed'
      : evidence?.is === 'no'
        ? 'refuted'
        : act
          ? 'ticked'
          : evidence
            ? 'unknown'
            : 'open'
  const view: ClosingStepView = {
    id: step.id,
    text: step.text,
    picture: step.picture,
    cautions: step.cautions,
    required: step.required,
    state,
    evidence: evidence?.words ?? '',
    ticked: act ? { actorId: act.actorId, atMs: act.atMs } : null,
    mayTap: state === 'open' || state === 'unknown' || state === 'ticked',
  }
  return {
    title: machine?.title ?? null,
    step: view,
    action: evidence?.is === 'no' ? evidence.action : '',
  }
}

/** Is the machine out of service now, by a plan? */
export function isMachineSetAside(
  machineId: string,
  { quiets, nowMs }: Pick<ClosingMaterial, 'quiets' | 'nowMs'>,
): boolean {
  return quiets.some(
    (q) =>
      q.kind === 'outOfService' &&
      (q.machineId === null || q.machineId === machineId) &&
      q.fromMs <= nowMs &&
      (q.toMs === null || nowMs < q.toMs),
  )
}
