import { useEffect } from 'preact/hooks'
import type { Routine } from '../../../../services/core/model/routine.ts'
import type { RoutineView } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import type { FormPart } from './form-parts.ts'
import { SelectInput, TextInput } from './inputs.tsx'

const TRIGGERS = [
  { value: 'FREQ=DAILY', label: 'Every day' },
  { value: 'FREQ=WEEKLY;BYDAY=MO', label: 'Every Monday' },
  { value: 'FREQ=WEEKLY;BYDAY=FR', label: 'Every Friday' },
  { value: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO', label: 'Every second Monday' },
  { value: 'FREQ=MONTHLY;BYDAY=1MO', label: 'Every first Monday of a month' },
  { value: 'printHours', label: 'After 100 hours of printing' },
  { value: 'cleanings', label: 'After 100 cleanings that were seen' },
  { value: 'asNeeded', label: 'Only when it is started' },
] as const

/** A ready-made routine stands in the settings only once it was changed. */
export function RoutinesForm({ app, part }: { app: AppModel; part: FormPart }) {
  const { settings, readOnly, change } = part
  useEffect(() => void app.work.loadPlans(), [])
  const own = new Map(settings.routines.map((r) => [r.id, r]))
  const shown = app.work.routines.value.map((view) => own.get(view.id) ?? routineOf(view))
  const put = (routine: Routine): void =>
    change((s) => {
      const isThere = s.routines.some((r) => r.id === routine.id)
      const routines = isThere
        ? s.routines.map((r) => (r.id === routine.id ? routine : r))
        : [...s.routines, routine]
      return { ...s, routines }
    })
  return (
    <fieldset class="part">
      <legend>Routines</legend>
      <p class="hint">
        Starting values of common practice, yours to change. The manual of the machine goes first. More rules
        can be written in the file, as recurrence rules of RFC 5545.
      </p>
      {shown.map((routine) => {
        const at = settings.routines.findIndex((r) => r.id === routine.id)
        return (
          <RoutineFields
            key={routine.id}
            {...part}
            readOnly={readOnly}
            routine={routine}
            pointer={`/routines/${at === -1 ? routine.id : at}`}
            put={put}
          />
        )
      })}
    </fieldset>
  )
}

function RoutineFields({
  routine,
  pointer,
  errors,
  readOnly,
  put,
}: FormPart & { routine: Routine; pointer: string; put: (routine: Routine) => void }) {
  return (
    <details>
      <summary>{`${routine.title}${routine.on ? '' : ' (switched off)'}`}</summary>
      <label class="choice">
        <input
          type="checkbox"
          checked={routine.on}
          disabled={readOnly}
          onChange={(event) => put({ ...routine, on: event.currentTarget.checked })}
        />
        Ask for it
      </label>
      <TextInput
        label="Title"
        pointer={`${pointer}/title`}
        errors={errors}
        readOnly={readOnly}
        value={routine.title}
        set={(title) => put({ ...routine, title })}
      />
      <SelectInput
        label="When"
        pointer={`${pointer}/trigger`}
        errors={errors}
        readOnly={readOnly}
        value={triggerValue(routine)}
        options={optionsOf(routine)}
        set={(value) => put({ ...routine, trigger: triggerOf(value, routine) })}
      />
      <div class="field">
        <label for={`steps-${routine.id}`}>Steps, one a line</label>
        <textarea
          id={`steps-${routine.id}`}
          rows={5}
          readOnly={readOnly}
          defaultValue={routine.steps.join('\n')}
          onInput={(event) => put({ ...routine, steps: linesOf(event.currentTarget.value) })}
        />
      </div>
    </details>
  )
}

/** Without what stands beside it in the list: the settings take nothing unknown. */
function routineOf(view: RoutineView): Routine {
  const { id, title, why, steps, cautions, tools, supplies, forEach, trigger, on } = view
  return { id, title, why, steps, cautions, tools, supplies, forEach, trigger, on }
}

function linesOf(text: string): string[] {
  return text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '')
}

function triggerValue({ trigger }: Routine): string {
  return trigger.kind === 'calendar' ? trigger.rule : trigger.kind
}

/** A rule that was written in the file stays among the choices. */
function optionsOf(routine: Routine): { value: string; label: string }[] {
  const value = triggerValue(routine)
  const counted = routine.forEach === 'machine'
  const offered = TRIGGERS.filter((t) => counted || (t.value !== 'printHours' && t.value !== 'cleanings'))
  return offered.some((t) => t.value === value) ? [...offered] : [...offered, { value, label: value }]
}

function triggerOf(value: string, { trigger }: Routine): Routine['trigger'] {
  if (value === trigger.kind) return trigger
  if (value === 'printHours') return { kind: 'printHours', hours: 100 }
  if (value === 'cleanings') return { kind: 'cleanings', count: 100 }
  if (value === 'asNeeded') return { kind: 'asNeeded' }
  const kept = trigger.kind === 'calendar' ? trigger : { time: '09:00', startsOn: '2026-01-05' }
  return { ...kept, kind: 'calendar', rule: value }
}
