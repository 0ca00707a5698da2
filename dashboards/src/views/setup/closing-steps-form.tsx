import type { ClosingStep } from '../../../../services/core/model/closing.ts'
import { withItem, withoutItem } from '../../models/settings-edits.ts'
import { addClosingStep, gatherFaults, linesOf, moveClosingStep } from '../../models/work-edits.ts'
import { AddByTitle } from './add-by-title.tsx'
import { Choice } from './choice.tsx'
import type { FormPart } from './form-parts.ts'
import { LinesInput, TextInput } from './inputs.tsx'

const ROUNDS = [
  { of: 'machine', title: 'At each machine', add: 'Add a step at each machine' },
  { of: 'shop', title: 'Once for the shop', add: 'Add a step for the shop' },
] as const

/** The closing list: the words of each step, whether it is asked for, and in which order. */
export function ClosingStepsForm(part: FormPart) {
  return (
    <fieldset class="part">
      <legend>Closing list</legend>
      <p class="hint">
        Common practice, yours to change. The manual of the machine goes first. A list that is being gone
        through now changes with it.
      </p>
      {ROUNDS.map(({ of, title, add }) => (
        <Round key={of} {...part} of={of} title={title} add={add} />
      ))}
    </fieldset>
  )
}

function Round({
  of,
  title,
  add,
  ...part
}: FormPart & { of: ClosingStep['of']; title: string; add: string }) {
  const { settings, readOnly, change } = part
  const steps = settings.closingSteps.map((step, at) => ({ step, at })).filter(({ step }) => step.of === of)
  return (
    <>
      <h3 class="part-group">{title}</h3>
      {steps.map(({ step, at }, place) => (
        <StepFields
          key={step.id}
          {...part}
          step={step}
          at={at}
          isFirst={place === 0}
          isLast={place === steps.length - 1}
        />
      ))}
      {!readOnly && (
        <AddByTitle
          id={`add-closing-${of}`}
          label={add}
          placeholder="Lights off at the light table"
          button="Add the step"
          add={(text) => change((s) => addClosingStep(s, text, of))}
        />
      )}
    </>
  )
}

function StepFields({
  errors,
  readOnly,
  change,
  step,
  at,
  isFirst,
  isLast,
}: FormPart & { step: ClosingStep; at: number; isFirst: boolean; isLast: boolean }) {
  const pointer = `/closingSteps/${at}`
  const field = { errors, readOnly }
  const set = (edit: Partial<ClosingStep>): void =>
    change((s) => ({ ...s, closingSteps: withItem(s.closingSteps, at, edit) }))
  const isFaulty = errors.some((e) => e.pointer.startsWith(`${pointer}/`))
  return (
    <details open={isFaulty || undefined}>
      <summary>{`${step.text}${step.on ? '' : ' (switched off)'}`}</summary>
      <Choice label="Ask for it" readOnly={readOnly} value={step.on} set={(on) => set({ on })} />
      <Choice
        label="Without it the shop is not ready for the night"
        readOnly={readOnly}
        value={step.required}
        set={(required) => set({ required })}
      />
      <TextInput
        {...field}
        label="What is to be done"
        pointer={`${pointer}/text`}
        value={step.text}
        set={(text) => set({ text })}
      />
      <LinesInput
        label="Take care, one sentence a line"
        pointer={`${pointer}/cautions`}
        errors={gatherFaults(errors, `${pointer}/cautions`)}
        readOnly={readOnly}
        value={step.cautions}
        set={(text) => set({ cautions: linesOf(text) })}
      />
      {!readOnly && (
        <p class="buttons">
          <button
            type="button"
            class="plain"
            disabled={isFirst}
            onClick={() => change((s) => moveClosingStep(s, at, -1))}
          >
            Earlier
          </button>
          <button
            type="button"
            class="plain"
            disabled={isLast}
            onClick={() => change((s) => moveClosingStep(s, at, 1))}
          >
            Later
          </button>
          {!step.on && (
            <button
              type="button"
              class="plain"
              onClick={() => change((s) => ({ ...s, closingSteps: withoutItem(s.closingSteps, at) }))}
            >
              Take it out for good
            </button>
          )}
        </p>
      )}
    </details>
  )
}
