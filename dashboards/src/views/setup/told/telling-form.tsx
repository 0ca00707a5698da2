import type { Telling } from '../../../../../services/core/model/contact.ts'
import type { FormPart } from '../form-parts.ts'
import { NumberInput } from '../inputs.tsx'

const MINUTE_MS = 60_000

const WAITS: readonly {
  readonly key: 'remindAfterMs' | 'escalateAfterMs' | 'closingReminderAfterMs'
  readonly label: string
}[] = [
  { key: 'remindAfterMs', label: 'Ask the same person again after, in min' },
  { key: 'escalateAfterMs', label: 'Ask the next person after, in min' },
  { key: 'closingReminderAfterMs', label: 'Remind of the closing list after closing, in min' },
]

/** How long an answer is waited for. */
export function TellingForm({ settings, errors, readOnly, change }: FormPart) {
  const { telling } = settings
  const set = (update: Partial<Telling>): void =>
    change((s) => ({ ...s, telling: { ...s.telling, ...update } }))
  return (
    <fieldset class="part">
      <legend>How long to wait for an answer</legend>
      <p class="hint">Starting values, yours to change. They begin when a notice leaves.</p>
      <div class="fields">
        {WAITS.map(({ key, label }) => (
          <NumberInput
            key={key}
            label={label}
            pointer={`/telling/${key}`}
            errors={errors}
            readOnly={readOnly}
            value={telling[key] / MINUTE_MS}
            set={(min) => set({ [key]: Math.round(min * MINUTE_MS) })}
          />
        ))}
        <NumberInput
          label="How often the same person is asked again"
          pointer="/telling/reminders"
          errors={errors}
          readOnly={readOnly}
          step={1}
          value={telling.reminders}
          set={(reminders) => set({ reminders })}
        />
      </div>
    </fieldset>
  )
}
