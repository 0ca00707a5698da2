import { useState } from 'preact/hooks'
import type { Alarm } from '../../../../services/core/model/alarm.ts'
import type { WhyView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { AlarmReason } from '../alarm-reason.tsx'
import { useDisclosure } from '../disclosure.ts'

interface AnswersProps {
  readonly app: AppModel
  /** Of what: a machine or an alarm. Makes the panel's id and is read out with the buttons. */
  readonly about: { readonly id: string; readonly title: string }
  readonly alarm: Alarm | null
  readonly why: WhyView | null
}

/** "I'm on it", where it still has to be said and this person may say it, and "Why?" with what it unfolds. */
export function Answers({ app, about, alarm, why }: AnswersProps) {
  const panelId = `why-${about.id}`
  const panel = useDisclosure(panelId)
  if (!alarm && !why) return null
  const isAsked = alarm?.state === 'unacknowledged' || alarm?.state === 'returnedUnacknowledged'
  const mayAnswer = isAsked && app.session.may('acknowledgeAlarms')
  return (
    <div class="answering" onKeyDown={panel.onKeyDown}>
      <p class="answers">
        {alarm && mayAnswer && <OnIt app={app} alarm={alarm} />}
        <button type="button" class="plain" {...panel.button}>
          {panel.isOpen ? 'Fold up' : 'Why?'}
          <span class="only-read">{` ${about.title}`}</span>
        </button>
      </p>
      {panel.isOpen && (
        <div class="reason" id={panelId} role="group" aria-label={`Why: ${about.title}`}>
          {why && <Evidence why={why} />}
          {alarm && <AlarmReason alarm={alarm} />}
        </div>
      )}
    </div>
  )
}

function OnIt({ app, alarm }: { app: AppModel; alarm: Alarm }) {
  const [isSending, setSending] = useState(false)
  const word = alarm.state === 'returnedUnacknowledged' ? 'Seen' : "I'm on it"
  const waits = app.unsent.waitsFor(`/api/v1/alarms/${encodeURIComponent(alarm.id)}/acknowledgement`)
  const answer = async (): Promise<void> => {
    setSending(true)
    await app.board.acknowledge(alarm.id)
    setSending(false)
  }
  return (
    <button type="button" class="plain strong" disabled={isSending || waits} onClick={() => void answer()}>
      {waits ? `${word}: waiting to be sent` : word}
      <span class="only-read">{`: ${alarm.title}`}</span>
    </button>
  )
}

/** The rule, the numbers it was held against, and where its limit comes from. */
function Evidence({ why: { rule, numbers, limitFrom } }: { why: WhyView }) {
  return (
    <>
      <p class="why-rule">{unbroken(rule)}</p>
      {numbers.length > 0 && (
        <dl class="why-numbers">
          {numbers.map(({ label, value }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>{unbroken(value)}</dd>
            </div>
          ))}
        </dl>
      )}
      <p class="why-limit">
        <span>The limit: </span>
        {unbroken(limitFrom)}
      </p>
    </>
  )
}
