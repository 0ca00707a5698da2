import { useEffect, useState } from 'preact/hooks'
import { failureSentence } from '../../api/answer.ts'
import { createSetupApi, type RecordedChange } from '../../api/setup-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { stampWords } from '../../words/change-words.ts'
import { countText } from '../../words/quantity-text.ts'
import { Trouble, Waiting } from '../states.tsx'

/** So many lines of a change are shown at once; the rest unfolds. */
const SHOWN = 6

/** Who changed what, when and why; the newest first. */
export function ChangesView({ app }: { app: AppModel }) {
  const [changes, setChanges] = useState<readonly RecordedChange[] | null>(null)
  const [trouble, setTrouble] = useState('')
  const saved = app.settings.saved.value
  const load = async (): Promise<void> => {
    const answer = await createSetupApi(app).changes()
    if (answer.ok) setChanges(answer.value.changes)
    setTrouble(answer.ok ? '' : failureSentence(answer.failure))
  }
  useEffect(() => void load(), [saved])
  if (trouble !== '') return <Trouble text={trouble} retry={() => void load()} />
  if (!changes) return <Waiting />
  if (changes.length === 0) return <p class="hint">Nothing was changed yet.</p>
  return (
    <ol class="list changes">
      {changes.map((change) => (
        <Change key={change.seq} app={app} change={change} />
      ))}
    </ol>
  )
}

function Change({ app, change }: { app: AppModel; change: RecordedChange }) {
  const { differences, why } = change
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  const lines = (some: RecordedChange['differences']) => (
    <ul class="differences">
      {some.map(({ path, text }) => (
        <li key={`${path} ${text}`}>{text}</li>
      ))}
    </ul>
  )
  return (
    <li>
      <p class="list-title">{stampWords(change, { timeZone, nowMs: app.clock.quarterMinuteMs.value })}</p>
      {why !== null && <p class="evidence">{`Why: ${why}`}</p>}
      {differences.length === 0 ? (
        <p class="hint">Saved without a change.</p>
      ) : (
        lines(differences.slice(0, SHOWN))
      )}
      {differences.length > SHOWN && (
        <details>
          <summary>{`${countText(differences.length - SHOWN, 'more line', 'more lines')}`}</summary>
          {lines(differences.slice(SHOWN))}
        </details>
      )}
    </li>
  )
}
