import { useState } from 'preact/hooks'
import type { Alarm } from '../../../../services/core/model/alarm.ts'
import type { AppModel } from '../../models/app-model.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { reasonLines } from '../../words/standing-words.ts'

/** "I'm on it", where it still has to be said and this person may say it, and "Why?". */
export function Answers({
  app,
  alarm,
  isOpen,
  toggle,
}: {
  app: AppModel
  alarm: Alarm
  isOpen: boolean
  toggle: () => void
}) {
  const [isSending, setSending] = useState(false)
  const mayAnswer = alarm.state === 'unacknowledged' && app.session.may('acknowledgeAlarms')
  const answer = async (): Promise<void> => {
    setSending(true)
    await app.board.acknowledge(alarm.id)
    setSending(false)
  }
  return (
    <p class="answers">
      {mayAnswer && (
        <button type="button" class="plain strong" disabled={isSending} onClick={() => void answer()}>
          {"I'm on it"}
          <span class="only-read">{`: ${alarm.title}`}</span>
        </button>
      )}
      <button type="button" class="plain" aria-expanded={isOpen} onClick={toggle}>
        {isOpen ? 'Fold up' : 'Why?'}
        <span class="only-read">{` ${alarm.title}`}</span>
      </button>
    </p>
  )
}

/** What stands behind an alarm: cause, consequence, action, time to act. */
export function Reason({ alarm }: { alarm: Alarm }) {
  return (
    <dl class="reason">
      {reasonLines(alarm).map(({ term, text }) => (
        <>
          <dt>{term}</dt>
          <dd>{unbroken(text)}</dd>
        </>
      ))}
    </dl>
  )
}
