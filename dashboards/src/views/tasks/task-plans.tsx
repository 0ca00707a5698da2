import { useState } from 'preact/hooks'
import type { TaskView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'

const HOUR_MS = 3_600_000
const DEFERRALS = [
  { hours: 4, label: '4 hours' },
  { hours: 24, label: 'a day' },
  { hours: 72, label: 'three days' },
  { hours: 168, label: 'a week' },
] as const

/** Who shall do it, and putting it off with a reason. */
export function TaskPlans({ app, task }: { app: AppModel; task: TaskView }) {
  const id = `assignee-${task.id}`
  return (
    <section aria-label="Who and when">
      <h3>Who and when</h3>
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
      {task.deferred ? (
        <p>
          {`Put off: ${task.deferred.reason} `}
          <button type="button" class="plain" onClick={() => void app.work.defer(task.id, null, '')}>
            Take it up again
          </button>
        </p>
      ) : (
        <Defer app={app} task={task} />
      )}
    </section>
  )
}

function Defer({ app, task }: { app: AppModel; task: TaskView }) {
  const [isAsking, setAsking] = useState(false)
  const [reason, setReason] = useState('')
  const [hours, setHours] = useState(24)
  if (!isAsking) {
    return (
      <button type="button" class="plain" onClick={() => setAsking(true)}>
        Put it off
      </button>
    )
  }
  return (
    <form
      class="confirm"
      onSubmit={(event) => {
        event.preventDefault()
        const untilMs = app.clock.nowMs.peek() + hours * HOUR_MS
        void app.work.defer(task.id, untilMs, reason.trim())
      }}
    >
      <label for="defer-hours">For how long</label>
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
        <button type="button" class="plain" onClick={() => setAsking(false)}>
          Leave it
        </button>
      </p>
    </form>
  )
}

/** Routines that are started by hand, each on one of its subjects; and the way to the symptoms. */
export function StartWork({ app }: { app: AppModel }) {
  const routines = app.work.routines.value.filter((r) => r.on && r.subjects.length > 0)
  const [routineId, setRoutineId] = useState('')
  const [at, setAt] = useState(0)
  const routine =
    routines.find((r) => r.id === routineId) ?? routines.find((r) => r.trigger.kind === 'asNeeded')
  return (
    <section class="start-work" aria-labelledby="start-work">
      <h2 id="start-work">Something else to do?</h2>
      <p>
        <a href="#/symptoms">Something looks wrong at a machine</a>
      </p>
      {routine && app.session.may('planTasks') && (
        <form
          class="confirm"
          onSubmit={(event) => {
            event.preventDefault()
            void app.work.start(routine, at)
          }}
        >
          <label for="start-routine">A routine</label>
          <select
            id="start-routine"
            value={routine.id}
            onChange={(event) => {
              setRoutineId(event.currentTarget.value)
              setAt(0)
            }}
          >
            {routines.map((r) => (
              <option key={r.id} value={r.id}>
                {r.title}
              </option>
            ))}
          </select>
          <label for="start-subject">For</label>
          <select
            id="start-subject"
            value={String(at)}
            onChange={(event) => setAt(Number(event.currentTarget.value))}
          >
            {routine.subjects.map(({ title }, i) => (
              <option key={title} value={String(i)}>
                {title}
              </option>
            ))}
          </select>
          <p class="buttons">
            <button type="submit" class="do do-calm">
              Make it a task
            </button>
          </p>
        </form>
      )}
    </section>
  )
}
