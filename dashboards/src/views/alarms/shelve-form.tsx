import { useEffect, useRef, useState } from 'preact/hooks'
import type { AlarmView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { SHELF_TIMES } from '../../words/alarm-words.ts'

/** Sets an alarm aside for a time, with a reason: both are asked for before anything happens. */
export function ShelveForm({ app, alarm, back }: { app: AppModel; alarm: AlarmView; back: () => void }) {
  const [minutes, setMinutes] = useState<number>(SHELF_TIMES[1].minutes)
  const [reason, setReason] = useState('')
  const [isSending, setSending] = useState(false)
  const first = useRef<HTMLSelectElement>(null)
  useEffect(() => first.current?.focus(), [])
  const send = async (): Promise<void> => {
    setSending(true)
    const ok = await app.alarms.shelve(alarm, { minutes, reason: reason.trim() })
    setSending(false)
    if (ok) document.getElementById('alarms-title')?.focus()
  }
  return (
    <form
      class="confirm shelve"
      aria-label={`Shelve: ${alarm.title}`}
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <p class="hint">
        While it is shelved nobody is told of it. Its task stays in the list. Another trouble of the same kind
        that cannot wait is told all the same.
      </p>
      <label for="shelve-minutes">For how long</label>
      <select
        id="shelve-minutes"
        ref={first}
        value={String(minutes)}
        onChange={(event) => setMinutes(Number(event.currentTarget.value))}
      >
        {SHELF_TIMES.map((time) => (
          <option key={time.minutes} value={String(time.minutes)}>
            {time.label}
          </option>
        ))}
      </select>
      <label for="shelve-reason">Why</label>
      <input
        id="shelve-reason"
        required
        maxLength={300}
        placeholder="The hauler comes on Thursday"
        value={reason}
        onInput={(event) => setReason(event.currentTarget.value)}
      />
      <p class="buttons">
        <button type="submit" class="do do-calm" disabled={isSending || reason.trim() === ''}>
          Shelve it
        </button>
        <button type="button" class="plain" onClick={back}>
          Not now
        </button>
      </p>
    </form>
  )
}
