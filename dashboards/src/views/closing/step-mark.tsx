import type { ClosingStepView } from '../../../../services/core/model/closing.ts'

/** A shape for each state; the words beside it say the same. */
export function StepMark({ state }: { state: ClosingStepView['state'] }) {
  return (
    <svg class={`mark step-${state}`} viewBox="0 0 20 20" aria-hidden="true">
      {state === 'confirmed' ? <circle cx="10" cy="10" r="8" /> : <rect x="2" y="2" width="16" height="16" />}
      {(state === 'confirmed' || state === 'ticked') && <path d="M5.5 10.5l3 3 6-7" />}
      {state === 'refuted' && <path d="M6 6l8 8m0-8l-8 8" />}
      {state === 'unknown' && <path d="M7.5 7.5c0-3.5 5-3.5 5 0 0 2-2.5 2-2.5 4M10 14v.6" />}
    </svg>
  )
}
