import { useState } from 'preact/hooks'
import type { TaskView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { useDisclosure } from '../disclosure.ts'

const HOUR_MS = 3_600_000
const DEFERRALS = [
  { hours: 4, label: '4 hours' },
  { hours: 24, label: 'a day' },
  { hours: 72, label: 'three days' },
  { hours: 168, label: 'a week' },
] as const

/** Who shall do it, and putting it off with a reason: folded away, since doing it comes first. */
export function TaskPlans({ app, task }: { app: AppModel; task: TaskView }) {
  const panelId = `plans-${task.id}`
  const { isOpen, button, onKeyDown } = useDisclosure(panelId)
  return (
    <div class="task-plans" onKeyDown={onKeyDown}>
      <button type="button" class="plain" {...button}>
        Not you, or not now?
      </button>
      <div id={panelId} hidden={!isOpen}>
        {isOpen && <Assign app={app} task={task} />}
        {isOpen && (task.deferred ? <TakeUp app={app} task={task} /> : <Defer app={app} task={task} />)}
      </div>
    </div>
  )
}

function Assign({ app, task }: { app: AppModel; task: TaskView }) {
  const id = `assignee-${task.id}`
  return (
    <div class="field">
      <label for={id}>Who does it</label>
      <select
        id={id}
        value={task.assigneeId ?? ''}
        onChange={(event) => void app.work.assign(task.id, event.currentTarget.value || null)}
      >
        <option value="">Whoever is there</option>
        {app.work.people.value.map(({ id: personId, name }) => (
          <option key={personId} value={personId}>
            {name}
          </option>
        ))}
      </select>
    </div>
  )
}

function TakeUp({ app, task }: { app: AppModel; task: TaskView }) {
  return (
    <p>
      <button type="button" class="plain strong" onClick={() => void app.work.defer(task.id, null, '')}>
        Take it up again
      </button>
    </p>
  )
}

function Defer({ app, task }: { app: AppModel; task: TaskView }) {
  const [reason, setReason] = useState('')
  const [hours, setHours] = useState(24)
  return (
    <form
      class="confirm"
      onSubmit={(event) => {
        event.preventDefault()
        const untilMs = Math.round(app.clock.nowMs.peek()) + hours * HOUR_MS
        void app.work.defer(task.id, untilMs, reason.trim())
      }}
    >
      <label for="defer-hours">Put it off for</label>
      <select
        id="defer-hours"
        value={String(hours)}
        onChange={(event) => setHours(Number(event.currentTarget.value))}
      >
        {DEFERRALS.map((d) => (
          <option key={d.hours} value={String(d.hours)}>
            {d.label}
          </option>
        ))}
      </select>
      <label for="defer-reason">Why</label>
      <input
        id="defer-reason"
        required
        maxLength={300}
        value={reason}
        onInput={(event) => setReason(event.currentTarget.value)}
      />
      <p class="buttons">
        <button type="submit" class="do do-calm">
          Put it off
        </button>
      </p>
    </form>
  )
}
