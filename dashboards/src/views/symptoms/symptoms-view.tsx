import { useEffect, useState } from 'preact/hooks'
import type { SymptomView } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'

/** Choose the machine, choose what you see, get the check and why, make it a task. */
export default function SymptomsView({ app }: { app: AppModel }) {
  const machines = app.board.board.value?.machines ?? []
  const [chosen, setChosen] = useState('')
  const [symptom, setSymptom] = useState('')
  const machineId = chosen || (machines[0]?.id ?? '')
  const { symptoms, trouble, announcement } = app.work
  useEffect(() => app.work.hush(), [])
  useEffect(() => {
    if (machineId) void app.work.loadSymptoms(machineId)
  }, [machineId])
  const seen = symptoms.value?.find((s) => s.symptom === symptom)
  return (
    <div class="page-column">
      <h1 class="statement" id="symptoms-title" tabIndex={-1}>
        What do you see?
      </h1>
      <Announcement text={announcement.value} />
      {announcement.value && (
        <p>
          <a href="#/tasks">Open the tasks</a>
        </p>
      )}
      {trouble.value && <Trouble text={trouble.value} />}
      {app.board.board.value && machines.length === 0 && (
        <p class="hint">There is no machine yet. Add it under Setup.</p>
      )}
      <div class="field">
        <label for="symptom-machine">At which machine</label>
        <select
          id="symptom-machine"
          value={machineId}
          onChange={(event) => setChosen(event.currentTarget.value)}
        >
          {machines.map((m) => (
            <option key={m.id} value={m.id}>
              {m.title}
            </option>
          ))}
        </select>
      </div>
      {!symptoms.value && machineId && !trouble.value && <Waiting />}
      <fieldset class="part">
        <legend>What you see</legend>
        {(symptoms.value ?? []).map((s) => (
          <label key={s.symptom} class="choice">
            <input
              type="radio"
              name="symptom"
              checked={s.symptom === symptom}
              onChange={() => setSymptom(s.symptom)}
            />
            {s.title}
          </label>
        ))}
      </fieldset>
      {seen && <Check app={app} machineId={machineId} seen={seen} done={() => setSymptom('')} />}
    </div>
  )
}

function Check({
  app,
  machineId,
  seen,
  done,
}: {
  app: AppModel
  machineId: string
  seen: SymptomView
  done: () => void
}) {
  const [note, setNote] = useState('')
  const report = async (): Promise<void> => {
    if (!(await app.work.report(machineId, seen.symptom, note))) return
    done()
    document.getElementById('symptoms-title')?.focus()
  }
  return (
    <section aria-labelledby="check-title">
      <h2 id="check-title">{`Begin with: ${seen.check}`}</h2>
      <p class="why">{seen.reason}</p>
      {seen.story.length > 0 && (
        <ul class="list">
          {seen.story.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
      <p class="hint">
        The manual of the machine goes first. The task brings the steps and what to take care of.
      </p>
      {app.session.may('planTasks') && (
        <form
          class="confirm"
          onSubmit={(event) => {
            event.preventDefault()
            void report()
          }}
        >
          <label for="symptom-note">Where or since when, if you know</label>
          <input
            id="symptom-note"
            maxLength={500}
            value={note}
            onInput={(event) => setNote(event.currentTarget.value)}
          />
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
