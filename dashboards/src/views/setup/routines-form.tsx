import { useEffect } from 'preact/hooks'
import type { Routine } from '../../../../services/core/model/routine.ts'
import type { RoutineView } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { gatherFaults, linesOf, newRoutine } from '../../models/work-edits.ts'
import { AddByTitle } from './add-by-title.tsx'
import { Choice } from './choice.tsx'
import type { FormPart } from './form-parts.ts'
import { LinesInput, NumberInput, SelectInput, TextInput } from './inputs.tsx'

const TRIGGERS = [
  { value: 'FREQ=DAILY', label: 'Every day' },
  { value: 'FREQ=WEEKLY;BYDAY=MO', label: 'Every Monday' },
  { value: 'FREQ=WEEKLY;BYDAY=FR', label: 'Every Friday' },
  { value: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO', label: 'Every second Monday' },
  { value: 'FREQ=MONTHLY;BYDAY=1MO', label: 'Every first Monday of a month' },
  { value: 'printHours', label: 'After so many hours of printing' },
  { value: 'cleanings', label: 'After so many cleanings that were seen' },
  { value: 'asNeeded', label: 'Only when somebody starts it' },
] as const

const FOR_EACH = [
  { value: 'machine', label: 'Each machine' },
  { value: 'bottle', label: 'Each waste bottle' },
  { value: 'room', label: 'Each room' },
  { value: 'shop', label: 'The shop, once' },
] as const

/** A ready-made routine stands in the settings only once it was changed. */
export function RoutinesForm({ app, part }: { app: AppModel; part: FormPart }) {
  const { settings, readOnly, change } = part
  useEffect(() => void app.work.loadPlans(), [])
  const known = app.work.routines.value
  const own = new Map(settings.routines.map((r) => [r.id, r]))
  const isKnown = new Set(known.map((r) => r.id))
  const shown = [
    // What was the owner's own and is taken out of the settings is gone.
    ...known.filter((v) => v.isReadyMade || own.has(v.id)).map((v) => own.get(v.id) ?? routineOf(v)),
    ...settings.routines.filter((r) => !isKnown.has(r.id)),
  ]
  const isReadyMade = new Set(known.filter((r) => r.isReadyMade).map((r) => r.id))
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
        Starting values of common practice, yours to change. The manual of the machine goes first. Days that
        no choice names can be written in the file, as recurrence rules of RFC 5545.
      </p>
      {shown.map((routine) => (
        <RoutineFields
          key={routine.id}
          {...part}
          routine={routine}
          isOwn={!isReadyMade.has(routine.id)}
          pointer={`/routines/${pointerOf(settings.routines, routine.id)}`}
          put={put}
        />
      ))}
      {!readOnly && (
        <AddByTitle
          id="add-routine"
          label="Add a routine"
          placeholder="Wash the light table"
          button="Add the routine"
          add={(title) =>
            put(
              newRoutine(
                title,
                shown.map((r) => r.id),
              ),
            )
          }
        />
      )}
    </fieldset>
  )
}

/** Its place in the settings; its own name while it does not stand there. */
function pointerOf(routines: readonly Routine[], id: string): string {
  const at = routines.findIndex((r) => r.id === id)
  return String(at === -1 ? id : at)
}

type RoutinePart = FormPart & {
  routine: Routine
  isOwn: boolean
  pointer: string
  put: (routine: Routine) => void
}

function RoutineFields(part: RoutinePart) {
  const { routine, isOwn, pointer, errors, readOnly, put, change } = part
  const isFaulty = errors.some((e) => e.pointer.startsWith(`${pointer}/`))
  return (
    <details open={isFaulty || undefined}>
      <summary>{`${routine.title}${routine.on ? '' : ' (switched off)'}`}</summary>
      <Choice
        label="Ask for it"
        readOnly={readOnly}
        value={routine.on}
        set={(on) => put({ ...routine, on })}
      />
      <div class="fields">
        <TextInput
          label="Title"
          pointer={`${pointer}/title`}
          errors={errors}
          readOnly={readOnly}
          value={routine.title}
          set={(title) => put({ ...routine, title })}
        />
        {isOwn && (
          <SelectInput
            label="For"
            pointer={`${pointer}/forEach`}
            errors={errors}
            readOnly={readOnly}
            value={routine.forEach}
            options={FOR_EACH}
            set={(forEach) => put({ ...routine, forEach: forEach as Routine['forEach'] })}
          />
        )}
        <WhenFields {...part} />
      </div>
      <LinesInput
        label="Steps, one a line"
        pointer={`${pointer}/steps`}
        errors={gatherFaults(errors, `${pointer}/steps`)}
        readOnly={readOnly}
        value={routine.steps}
        set={(text) => put({ ...routine, steps: linesOf(text) })}
      />
      {isOwn && !readOnly && (
        <button
          type="button"
          class="plain"
          onClick={() => change((s) => ({ ...s, routines: s.routines.filter((r) => r.id !== routine.id) }))}
        >
          Take it out for good
        </button>
      )}
    </details>
  )
}

function WhenFields({ routine, pointer, errors, readOnly, put }: RoutinePart) {
  const { trigger } = routine
  const field = { errors, readOnly }
  return (
    <>
      <SelectInput
        label="When"
        pointer={`${pointer}/trigger`}
        errors={whenFaults(errors, pointer)}
        readOnly={readOnly}
        value={triggerValue(routine)}
        options={optionsOf(routine)}
        set={(value) => put({ ...routine, trigger: triggerOf(value, routine) })}
      />
      {trigger.kind === 'calendar' && (
        <TextInput
          {...field}
          label="At, such as 09:00"
          pointer={`${pointer}/trigger/time`}
          value={trigger.time}
          set={(time) => put({ ...routine, trigger: { ...trigger, time } })}
        />
      )}
      {trigger.kind === 'printHours' && (
        <NumberInput
          {...field}
          label="Hours of printing"
          pointer={`${pointer}/trigger/hours`}
          value={trigger.hours}
          set={(hours) => put({ ...routine, trigger: { ...trigger, hours } })}
        />
      )}
      {trigger.kind === 'cleanings' && (
        <NumberInput
          {...field}
          label="Cleanings"
          step={1}
          pointer={`${pointer}/trigger/count`}
          value={trigger.count}
          set={(count) => put({ ...routine, trigger: { ...trigger, count } })}
        />
      )}
    </>
  )
}

/** What is wrong with the days stands at "When"; time and count have a field of their own. */
function whenFaults(errors: FormPart['errors'], pointer: string): FormPart['errors'] {
  return ['rule', 'kind', 'startsOn'].reduce(
    (all, name) =>
      all.map((e) =>
        e.pointer === `${pointer}/trigger/${name}` ? { ...e, pointer: `${pointer}/trigger` } : e,
      ),
    errors,
  )
}

/** Without what stands beside it in the list: the settings take nothing unknown. */
function routineOf(view: RoutineView): Routine {
  const { id, title, why, steps, cautions, tools, supplies, forEach, trigger, on } = view
  return { id, title, why, steps, cautions, tools, supplies, forEach, trigger, on }
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
