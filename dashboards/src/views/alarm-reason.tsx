import type { Alarm } from '../../../services/core/model/alarm.ts'
import { unbroken } from '../words/quantity-text.ts'
import { reasonLines } from '../words/standing-words.ts'

/** What makes an alarm one: cause, consequence, action, time to act. */
export function AlarmReason({ alarm }: { alarm: Alarm }) {
  return (
    <dl class="reason-lines">
      {reasonLines(alarm).map(({ term, text }) => (
        <div key={term}>
          <dt>{term}</dt>
          <dd>{unbroken(text)}</dd>
        </div>
      ))}
    </dl>
  )
}
