import type { FieldError } from '../../api/answer.ts'
import { faultAt } from '../../models/settings-edits.ts'
import { describedBy, Field } from '../field.tsx'

export interface InputProps {
  readonly label: string
  /** Where it stands in the settings; faults find it by this. */
  readonly pointer: string
  readonly errors: readonly FieldError[]
  readonly hint?: string
  readonly readOnly?: boolean
}

export function TextInput({
  value,
  set,
  list,
  ...field
}: InputProps & { value: string; set: (value: string) => void; list?: string }) {
  const { id, fault, hint } = partsOf(field)
  return (
    <Field label={field.label} id={id} hint={hint} fault={fault}>
      <input
        id={id}
        value={value}
        list={list}
        readOnly={field.readOnly}
        aria-invalid={fault !== ''}
        aria-describedby={describedBy(id, { hint, fault })}
        onInput={(event) => set(event.currentTarget.value)}
      />
    </Field>
  )
}

export function NumberInput({
  value,
  set,
  step = 'any',
  ...field
}: InputProps & { value: number; set: (value: number) => void; step?: string | number }) {
  const { id, fault, hint } = partsOf(field)
  return (
    <Field label={field.label} id={id} hint={hint} fault={fault}>
      <input
        id={id}
        type="number"
        step={step}
        required
        defaultValue={String(value)}
        readOnly={field.readOnly}
        aria-invalid={fault !== ''}
        aria-describedby={describedBy(id, { hint, fault })}
        onInput={(event) => {
          // An empty or half-typed number is not passed on; the field itself asks for one.
          const typed = event.currentTarget.valueAsNumber
          if (Number.isFinite(typed)) set(typed)
        }}
      />
    </Field>
  )
}

export function SelectInput({
  value,
  set,
  options,
  ...field
}: InputProps & {
  value: string
  set: (value: string) => void
  options: readonly { value: string; label: string }[]
}) {
  const { id, fault, hint } = partsOf(field)
  return (
    <Field label={field.label} id={id} hint={hint} fault={fault}>
      <select
        id={id}
        value={value}
        disabled={field.readOnly}
        aria-invalid={fault !== ''}
        aria-describedby={describedBy(id, { hint, fault })}
        onChange={(event) => set(event.currentTarget.value)}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
    </Field>
  )
}

/** Several texts, one a line. What is typed stays as it is typed; `set` is given all of it. */
export function LinesInput({
  value,
  set,
  ...field
}: InputProps & { value: readonly string[]; set: (text: string) => void }) {
  const { id, fault, hint } = partsOf(field)
  return (
    <Field label={field.label} id={id} hint={hint} fault={fault}>
      <textarea
        id={id}
        rows={Math.min(10, Math.max(2, value.length + 1))}
        readOnly={field.readOnly}
        defaultValue={value.join('\n')}
        aria-invalid={fault !== ''}
        aria-describedby={describedBy(id, { hint, fault })}
        onInput={(event) => set(event.currentTarget.value)}
      />
    </Field>
  )
}

function partsOf({ pointer, errors, hint = '' }: InputProps): { id: string; fault: string; hint: string } {
  return { id: `settings${pointer.replaceAll('/', '-')}`, fault: faultAt(errors, pointer), hint }
}
