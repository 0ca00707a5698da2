import { useEffect, useRef, useState } from 'preact/hooks'
import type { TaskView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'

/** "It is done", asked once more in place, with room for a note. */
export function SignOff({ app, task }: { app: AppModel; task: TaskView }) {
  const [isAsking, setAsking] = useState(false)
  if (!isAsking) {
    return (
      <button type="button" class="do do-calm" onClick={() => setAsking(true)}>
        It is done
      </button>
    )
  }
  return <Confirm app={app} task={task} back={() => setAsking(false)} />
}

function Confirm({ app, task, back }: { app: AppModel; task: TaskView; back: () => void }) {
  const [note, setNote] = useState('')
  const [isSending, setSending] = useState(false)
  const field = useRef<HTMLTextAreaElement>(null)
  useEffect(() => field.current?.focus(), [])
  const send = async (): Promise<void> => {
    setSending(true)
    app.work.hush()
    const ok = await app.tasks.signOff(task, note)
    setSending(false)
    // The list below is another one now: begin again at its head, where the result is said.
    if (ok) document.getElementById('tasks-title')?.focus()
  }
  return (
    <form
      class="confirm"
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <label for="sign-off-note">A note, if there is something to remember</label>
      <textarea
        id="sign-off-note"
        ref={field}
        rows={2}
        maxLength={500}
        value={note}
        onInput={(event) => setNote(event.currentTarget.value)}
      />
      <p class="buttons">
        <button type="submit" class="do do-calm" disabled={isSending}>
          Sign it off
        </button>
        <button type="button" class="plain" onClick={back}>
          Not yet
        </button>
      </p>
    </form>
  )
}
