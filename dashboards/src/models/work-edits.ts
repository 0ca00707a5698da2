import type { ClosingStep } from '../../../services/core/model/closing.ts'
import type { Routine } from '../../../services/core/model/routine.ts'
import type { Settings } from '../../../services/core/model/settings.ts'
import type { FieldError } from '../api/answer.ts'
import { nameFromTitle } from './name-from-title.ts'

/** Faults of everything under `pointer` as faults of its own, for one field that stands for several. */
export function gatherFaults(errors: readonly FieldError[], pointer: string): readonly FieldError[] {
  return errors.map((e) => (e.pointer.startsWith(`${pointer}/`) ? { ...e, pointer } : e))
}

export function addClosingStep(settings: Settings, text: string, of: ClosingStep['of']): Settings {
  const taken = settings.closingSteps.map((s) => s.id)
  const step: ClosingStep = {
    id: nameFromTitle(text, { taken, fallback: 'step' }),
    text: text.trim(),
    of,
    picture: null,
    cautions: [],
    confirmedBy: 'none',
    required: true,
    on: true,
  }
  return { ...settings, closingSteps: [...settings.closingSteps, step] }
}

/** One place earlier (-1) or later (1) among the steps that are done in the same round; at an end it stays. */
export function moveClosingStep(settings: Settings, at: number, by: -1 | 1): Settings {
  const steps = [...settings.closingSteps]
  const moved = steps[at]
  let other = at + by
  while (steps[other] && steps[other]?.of !== moved?.of) other += by
  const passed = steps[other]
  if (!moved || !passed) return settings
  steps[at] = passed
  steps[other] = moved
  return { ...settings, closingSteps: steps }
}

/** A routine of the owner's own: started by hand, for each machine, until told otherwise. */
export function newRoutine(title: string, taken: readonly string[]): Routine {
  return {
    id: nameFromTitle(title, { taken, fallback: 'routine' }),
    title: title.trim(),
    why: '',
    steps: [],
    cautions: [],
    tools: [],
    supplies: [],
    forEach: 'machine',
    trigger: { kind: 'asNeeded' },
    on: true,
  }
}

/** One entry a line; empty lines fall away. */
export function linesOf(text: string): string[] {
  return text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '')
}
