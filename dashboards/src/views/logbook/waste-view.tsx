import { useEffect, useState } from 'preact/hooks'
import type { DisposalView } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { fromMl, monthText, notAllWords, totalsByMonth } from '../../words/disposal-words.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { Entries } from './entries.tsx'
import { EntryForm } from './entry-form.tsx'
import type { Shown } from './shown.ts'

/** The disposal log: waste that left the shop, when, to whom. */
export function WasteView({ app }: { app: AppModel }) {
  const { disposals, trouble, announcement } = app.work
  const [corrected, setCorrected] = useState<DisposalView | null>(null)
  useEffect(() => {
    app.work.hush()
    void app.work.loadDisposals()
  }, [])
  const correct = (entry: DisposalView): void => {
    setCorrected(entry)
    document.getElementById('logbook-title')?.focus()
  }
  const site = app.board.board.value?.site
  // Days are the shop's own: without the shop's clock there is no today to log on.
  if (!disposals.value || !site) return trouble.value ? <Trouble text={trouble.value} /> : <Waiting />
  const shown: Shown = {
    app,
    log: disposals.value,
    unit: site.volumeUnit,
    timeZone: site.timeZone,
  }
  return (
    <div class="page-column">
      <h1 class="statement" id="logbook-title" tabIndex={-1}>
        Waste that left the shop
      </h1>
      <p class="hint">
        Waste ink is regulated differently from place to place: follow your local rules, or a licensed hauler.
        They also say what must be written down, and for how long it is kept.
      </p>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {app.session.may('logDisposals') && (
        <EntryForm
          key={corrected?.disposalId ?? 'new'}
          {...shown}
          entry={corrected}
          done={() => setCorrected(null)}
        />
      )}
      <Totals {...shown} />
      {shown.log.moreBeforeMs !== null && <p class="hint">{notAllWords(shown.log.disposals.length)}</p>}
      <Entries {...shown} correct={correct} />
    </div>
  )
}

function Totals({ log, unit, timeZone }: Shown) {
  const totals = totalsByMonth(log.disposals, timeZone)
  if (totals.length === 0) return null
  return (
    <section aria-labelledby="totals">
      <h2 id="totals">By month</h2>
      <ul class="list">
        {totals.map(({ month, volumeMl }) => (
          <li key={month} class="list-row month-row">
            <span>{monthText(month)}</span>
            <span class="list-value">{`${fromMl(volumeMl, unit)} ${unit}`}</span>
          </li>
        ))}
      </ul>
      <p>
        <a href="/api/v1/disposals.csv" download>
          Everything as a table (CSV), for the hauler
        </a>
      </p>
    </section>
  )
}
