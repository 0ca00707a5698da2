import { useState } from 'preact/hooks'
import type { AppModel } from '../models/app-model.ts'
import type { Unsent } from '../phone/unsent.ts'
import { durationText, nearTime } from '../words/shop-time.ts'

/** What was said here and is not taken down by the monitor yet: how much waits, and what came back with a reason. */
export function UnsentLines({ app }: { app: AppModel }) {
  const entries = app.unsent.entries.value
  const waiting = app.unsent.waiting.value
  return (
    <div class="unsent">
      <p role="status" aria-live="polite" class="unsent-count">
        {waiting > 0 && `Waiting to be sent: ${waiting}`}
      </p>
      {entries.length > 0 && (
        <ul class="unsent-list" aria-label="Not taken down yet">
          {entries.map((entry) => (
            <Line key={entry.key} app={app} entry={entry} />
          ))}
        </ul>
      )}
      {waiting > 0 && (
        <p class="hint">
          They are sent by themselves when the shop can be reached, while Nightcap is open here, and count
          from when they arrive.
        </p>
      )}
    </div>
  )
}

function Line({ app, entry }: { app: AppModel; entry: Unsent }) {
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  // Said by this device's clock, and told by the shop's.
  const nowMs = app.clock.quarterMinuteMs.value
  const ageMs = app.clock.deviceMs(app.clock.nowMs.value) - entry.saidMs
  const said = nearTime(nowMs - ageMs, { timeZone, nowMs })
  return (
    <li>
      <p>
        <span class="unsent-time">{said}</span> {entry.label}
      </p>
      {entry.refusal !== null ? (
        <Refused app={app} entry={entry} refusal={entry.refusal} />
      ) : app.unsent.asksAgain(entry) ? (
        <StillSo app={app} entry={entry} age={durationText(ageMs)} />
      ) : (
        <button type="button" class="plain" onClick={() => void app.unsent.drop(entry.key)}>
          Do not send it<span class="only-read">{`: ${entry.label}`}</span>
        </button>
      )}
    </li>
  )
}

function Refused({ app, entry, refusal }: { app: AppModel; entry: Unsent; refusal: string }) {
  return (
    <>
      <p class="fault" role="alert">{`Not taken: ${refusal}`}</p>
      <button type="button" class="plain strong" onClick={() => void app.unsent.drop(entry.key)}>
        I have read it<span class="only-read">{`: ${entry.label}`}</span>
      </button>
    </>
  )
}

function StillSo({ app, entry, age }: { app: AppModel; entry: Unsent; age: string }) {
  const [isSending, setSending] = useState(false)
  const send = async (): Promise<void> => {
    setSending(true)
    await app.unsent.sayAgain(entry.key)
    setSending(false)
  }
  return (
    <>
      <p>{`Said ${age} ago. It would count from now: send it only if it still holds.`}</p>
      <p class="buttons">
        <button type="button" class="plain strong" disabled={isSending} onClick={() => void send()}>
          It still holds, send it<span class="only-read">{`: ${entry.label}`}</span>
        </button>
        <button type="button" class="plain" onClick={() => void app.unsent.drop(entry.key)}>
          Do not send it<span class="only-read">{`: ${entry.label}`}</span>
        </button>
      </p>
    </>
  )
}
