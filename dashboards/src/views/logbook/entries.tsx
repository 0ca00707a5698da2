import { useState } from 'preact/hooks'
import type { DisposalVersion, DisposalView } from '../../api/work-api.ts'
import { dayText, entryWords, fromMl } from '../../words/disposal-words.ts'
import { nearTime } from '../../words/shop-time.ts'
import type { Shown } from './shown.ts'

/** The log, the last first; a corrected entry tells what it said before. */
export function Entries({ correct, ...shown }: Shown & { correct: (entry: DisposalView) => void }) {
  const { app, log, unit, timeZone } = shown
  if (log.disposals.length === 0) return <p class="hint">Nothing is logged yet.</p>
  return (
    <section aria-labelledby="entries">
      <h2 id="entries">Entries</h2>
      <ul class="list">
        {log.disposals.map((d) => (
          <li key={d.disposalId} class="list-row">
            <div>
              <p class="list-title">{`${fromMl(d.volumeMl, unit)} ${unit} to ${d.toWhom}`}</p>
              <p class="evidence">
                {`${dayText(d.disposedMs, timeZone)}${fromWhere(d, log)}${d.by === null ? '' : `, logged by ${d.by}`}`}
              </p>
              {d.note && <q class="note">{d.note}</q>}
              {d.corrections > 0 && <History {...shown} entry={d} />}
            </div>
            {app.session.may('logDisposals') && (
              <button type="button" class="plain" onClick={() => correct(d)}>
                Correct<span class="only-read">{` the entry for ${d.toWhom}`}</span>
              </button>
            )}
          </li>
        ))}
      </ul>
    </section>
  )
}

function fromWhere({ bottleId }: DisposalView, { bottles }: Shown['log']): string {
  const bottle = bottles.find((b) => b.id === bottleId)
  return bottle ? `, from ${bottle.title}` : ''
}

/** What it said before it was corrected, asked for when it is unfolded. */
function History({ app, unit, timeZone, entry }: Shown & { entry: DisposalView }) {
  const [versions, setVersions] = useState<readonly DisposalVersion[]>([])
  const nowMs = app.clock.quarterMinuteMs.value
  return (
    <details
      onToggle={(event) => {
        if (event.currentTarget.open) void app.work.disposalHistory(entry.disposalId).then(setVersions)
      }}
    >
      <summary>{entry.corrections === 1 ? 'Corrected once' : `Corrected ${entry.corrections} times`}</summary>
      <ol>
        {versions.map((v) => (
          <li key={v.act.atMs} class="evidence">
            {`${nearTime(v.act.atMs, { timeZone, nowMs })}, ${v.by ?? 'someone'} wrote: ${entryWords(v, { unit, timeZone })}`}
          </li>
        ))}
      </ol>
    </details>
  )
}
