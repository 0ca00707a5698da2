import { useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { useDisclosure } from '../disclosure.ts'

/** The way to the symptoms, and routines that are started by hand, folded away. */
export function StartWork({ app }: { app: AppModel }) {
  const { isOpen, close, button, onKeyDown } = useDisclosure('start-routine-panel')
  const hasRoutines = app.work.routines.value.some((r) => r.on && r.subjects.length > 0)
  return (
    <section class="start-work" aria-labelledby="start-work" onKeyDown={onKeyDown}>
      <h2 id="start-work">Something else to do?</h2>
      <p>
        <a href="#/symptoms">Something looks wrong at a machine</a>
      </p>
      {hasRoutines && app.session.may('planTasks') && (
        <>
          <button type="button" class="plain" {...button}>
            Start a routine now
          </button>
          <div id="start-routine-panel" hidden={!isOpen}>
            {isOpen && <StartForm app={app} done={close} />}
          </div>
        </>
      )}
    </section>
  )
}

/** One routine on one of its subjects. */
function StartForm({ app, done }: { app: AppModel; done: () => void }) {
  const routines = app.work.routines.value.filter((r) => r.on && r.subjects.length > 0)
  const [routineId, setRoutineId] = useState('')
  const [at, setAt] = useState(0)
  const asNeeded = routines.find((r) => r.trigger.kind === 'asNeeded')
  const routine = routines.find((r) => r.id === routineId) ?? asNeeded ?? routines[0]
  if (!routine) return null
  const start = async (): Promise<void> => {
    if (!(await app.work.start(routine, at))) return
    done()
    // The list above is another one now: begin again at its head, where the result is said.
    document.getElementById('tasks-title')?.focus()
  }
  return (
    <form
      class="confirm"
      onSubmit={(event) => {
        event.preventDefault()
        void start()
      }}
    >
      <label for="start-routine">Routine</label>
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
  )
}
