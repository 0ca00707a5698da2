import { useState } from 'preact/hooks'
import type { AlarmView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { groupOf, setAsideLine, standingLine } from '../../words/alarm-words.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { standingOfUrgency, urgencyWord, type Standing } from '../../words/standing-words.ts'
import { AlarmReason } from '../alarm-reason.tsx'
import { StandingMark } from '../standing-mark.tsx'
import { ShelveForm } from './shelve-form.tsx'

const HOW = { over: 'well', setAside: 'setAside' } as const

/** One alarm: its state in words, what makes it one, and what can be said to it. */
export function AlarmItem({ app, alarm }: { app: AppModel; alarm: AlarmView }) {
  const group = groupOf(alarm)
  const site = app.board.board.value?.site
  const timeZone = site?.timeZone ?? 'UTC'
  const now = { timeZone, nowMs: app.clock.quarterMinuteMs.value }
  const standing: Standing = group === 'asking' ? standingOfUrgency(alarm.urgency) : HOW[group]
  return (
    <li class="task">
      <h3 class="task-title">
        <StandingMark standing={standing} />
        <span>{unbroken(alarm.title)}</span>
        {group === 'asking' && (
          <span class={`standing-word standing-${standing}`}>{urgencyWord(alarm.urgency, site)}</span>
        )}
      </h3>
      <p class="evidence">
        {unbroken(group === 'setAside' ? setAsideLine(alarm, now) : standingLine(alarm, now))}
      </p>
      {group === 'asking' && (
        <div class="alarm-reason">
          <AlarmReason alarm={alarm} />
        </div>
      )}
      <Answers app={app} alarm={alarm} />
    </li>
  )
}

function Answers({ app, alarm }: { app: AppModel; alarm: AlarmView }) {
  const [isShelving, setShelving] = useState(false)
  const { may } = app.session
  const isAsked = alarm.state === 'unacknowledged' || alarm.state === 'returnedUnacknowledged'
  const mayShelve = may('shelveAlarms') && groupOf(alarm) !== 'setAside'
  const mayTakeDown = may('shelveAlarms') && alarm.state === 'shelved'
  if (isShelving) return <ShelveForm app={app} alarm={alarm} back={() => setShelving(false)} />
  return (
    <p class="buttons">
      {isAsked && may('acknowledgeAlarms') && (
        <Say
          label={alarm.state === 'unacknowledged' ? "I'm on it" : 'Seen'}
          alarm={alarm}
          act={() => app.alarms.acknowledge(alarm)}
        />
      )}
      {mayTakeDown && <Say label="Take it down" alarm={alarm} act={() => app.alarms.unshelve(alarm)} />}
      {mayShelve && (
        <button type="button" class="plain" onClick={() => setShelving(true)}>
          Shelve
          <span class="only-read">{`: ${alarm.title}`}</span>
        </button>
      )}
    </p>
  )
}

interface SayProps {
  readonly label: string
  readonly alarm: AlarmView
  readonly act: () => Promise<boolean>
}

function Say({ label, alarm, act }: SayProps) {
  const [isSending, setSending] = useState(false)
  const send = async (): Promise<void> => {
    setSending(true)
    const ok = await act()
    setSending(false)
    // The list is another one now: begin again at its head, where the result is said.
    if (ok) document.getElementById('alarms-title')?.focus()
  }
  return (
    <button type="button" class="plain strong" disabled={isSending} onClick={() => void send()}>
      {label}
      <span class="only-read">{`: ${alarm.title}`}</span>
    </button>
  )
}
