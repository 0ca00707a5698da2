import { useState } from 'preact/hooks'
import type { LogKind } from '../../../../services/core/model/log-entry.ts'
import { hourAndMinute } from '../../words/shop-time.ts'
import { NozzleCheck } from '../morning/nozzle-check.tsx'
import { EntryFields } from './entry-fields.tsx'
import type { ShownLog } from './shown-log.ts'

const CHOICES: readonly { readonly kind: LogKind; readonly label: string }[] = [
  { kind: 'nozzleCheck', label: 'Nozzle check' },
  { kind: 'care', label: 'Cleaning' },
  { kind: 'note', label: 'Note' },
  { kind: 'headChange', label: 'New head' },
]

/** A nozzle check stands ready, three taps from done; the others are chosen. */
export function AddEntry(shown: ShownLog) {
  const { app, feed, timeZone } = shown
  const [kind, setKind] = useState<LogKind>('nozzleCheck')
  const { may } = app.session
  const choices = CHOICES.filter((c) => may(c.kind === 'nozzleCheck' ? 'logNozzleChecks' : 'writeLogbook'))
  if (choices.length === 0 || feed.machines.length === 0) return null
  const isMorning = hourAndMinute(app.clock.quarterMinuteMs.value, timeZone).hour < 12
  return (
    <section aria-labelledby="add-entry">
      <h2 id="add-entry">Write down</h2>
      <ul class="kind-choices">
        {choices.map((c) => (
          <li key={c.kind}>
            <button
              type="button"
              class="plain"
              aria-pressed={kind === c.kind}
              onClick={() => setKind(c.kind)}
            >
              {c.label}
            </button>
          </li>
        ))}
      </ul>
      {kind === 'nozzleCheck' ? (
        <NozzleCheck
          app={app}
          machines={feed.machines.map(({ id, title, heads }) => ({ id, title, groups: groupsOf(heads) }))}
          reason={isMorning ? 'routine' : null}
          logged={() => void app.log.load()}
        />
      ) : (
        <EntryFields key={kind} {...shown} kind={kind} row={null} done={() => undefined} />
      )}
    </section>
  )
}

/** With several heads, a channel group is told with its head. */
function groupsOf(heads: ShownLog['feed']['machines'][number]['heads']) {
  return heads.flatMap((head) =>
    head.channelGroups.map((g) => ({
      id: g.id,
      title: heads.length > 1 ? `${g.title} (${head.title})` : g.title,
    })),
  )
}
