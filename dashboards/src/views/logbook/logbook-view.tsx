import { useEffect, useState } from 'preact/hooks'
import type { DisposalLog, DisposalView } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { fromMl, toMl, totalsByMonth } from '../../words/disposal-words.ts'
import { nearTime } from '../../words/shop-time.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'

interface Shown {
  readonly app: AppModel
  readonly log: DisposalLog
  readonly unit: string
  readonly timeZone: string
}

/** The disposal log: what left the shop, when, to whom. */
export default function LogbookView({ app }: { app: AppModel }) {
  const { disposals, trouble, announcement } = app.work
  const [corrected, setCorrected] = useState<DisposalView | null>(null)
  useEffect(() => void app.work.loadDisposals(), [])
  const site = app.board.board.value?.site
  if (!disposals.value) return trouble.value ? <Trouble text={trouble.value} /> : <Waiting />
  const shown: Shown = {
    app,
    log: disposals.value,
    unit: site?.volumeUnit ?? 'mL',
    timeZone: site?.timeZone ?? 'UTC',
  }
  return (
    <>
      <h1 class="statement">Waste that left the shop</h1>
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
      <Entries {...shown} correct={setCorrected} />
    </>
  )
}

function EntryForm({
  app,
  log,
  unit,
  entry,
  done,
}: Shown & { entry: DisposalView | null; done: () => void }) {
  const [bottleId, setBottleId] = useState(entry?.bottleId ?? log.emptyings[0]?.bottleId ?? '')
  const suggested = log.emptyings.find((e) => e.bottleId === bottleId)
  const [volume, setVolume] = useState(entry ? String(fromMl(entry.volumeMl, unit)) : '')
  const [toWhom, setToWhom] = useState(entry?.toWhom ?? '')
  const [note, setNote] = useState(entry?.note ?? '')
  const send = async (): Promise<void> => {
    const ok = await app.work.log(entry?.disposalId ?? null, {
      bottleId: bottleId || null,
      volumeMl: toMl(Number(volume), unit),
      toWhom,
      note,
      disposedMs: entry?.disposedMs ?? Math.round(app.clock.nowMs.peek()),
    })
    if (!ok) return
    setVolume('')
    setNote('')
    done()
  }
  return (
    <form
      class="confirm"
      aria-label={entry ? 'Correct an entry' : 'Log a disposal'}
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <label for="disposal-bottle">From</label>
      <select
        id="disposal-bottle"
        value={bottleId}
        onChange={(event) => setBottleId(event.currentTarget.value)}
      >
        <option value="">A drum, or several together</option>
        {log.bottles.map((b) => (
          <option key={b.id} value={b.id}>
            {b.title}
          </option>
        ))}
      </select>
      <label for="disposal-volume">{`How much, in ${unit}`}</label>
      <input
        id="disposal-volume"
        type="number"
        min="0"
        step="any"
        required
        value={volume}
        onInput={(event) => setVolume(event.currentTarget.value)}
      />
      {suggested && !entry && (
        <button
          type="button"
          class="plain"
          onClick={() => setVolume(String(fromMl(suggested.volumeMl, unit)))}
        >
          {`Take what the scale saw leave: ${fromMl(suggested.volumeMl, unit)} ${unit}`}
        </button>
      )}
      <label for="disposal-whom">To whom</label>
      <input
        id="disposal-whom"
        required
        maxLength={120}
        value={toWhom}
        onInput={(event) => setToWhom(event.currentTarget.value)}
      />
      <label for="disposal-note">A note</label>
      <input
        id="disposal-note"
        maxLength={500}
        value={note}
        onInput={(event) => setNote(event.currentTarget.value)}
      />
      <p class="buttons">
        <button type="submit" class="do do-calm">
          {entry ? 'Save the correction' : 'Log it'}
        </button>
        {entry && (
          <button type="button" class="plain" onClick={done}>
            Leave it as it is
          </button>
        )}
      </p>
    </form>
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
          <li key={month} class="list-row">
            <span>{month}</span>
            <span class="list-value">{`${fromMl(volumeMl, unit)} ${unit}`}</span>
          </li>
        ))}
      </ul>
      <p>
        <a href="/api/v1/disposals.csv">Everything as a CSV file, for the hauler</a>
      </p>
    </section>
  )
}

function Entries({ app, log, unit, timeZone, correct }: Shown & { correct: (entry: DisposalView) => void }) {
  const nowMs = app.clock.quarterMinuteMs.value
  if (log.disposals.length === 0) return <p class="hint">Nothing is logged yet.</p>
  return (
    <section aria-labelledby="entries">
      <h2 id="entries">Entries</h2>
      <ul class="list">
        {log.disposals.map((d) => (
          <li key={d.disposalId} class="list-row">
            <span>
              <span class="list-title">{d.toWhom}</span>
              <span class="aside">{`, ${nearTime(d.disposedMs, { timeZone, nowMs })}${d.by === null ? '' : `, by ${d.by}`}`}</span>
              {d.note && <q class="note">{d.note}</q>}
            </span>
            <span class="list-value">{`${fromMl(d.volumeMl, unit)} ${unit}`}</span>
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
