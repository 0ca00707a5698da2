import { useState } from 'preact/hooks'
import type { DisposalView } from '../../api/work-api.ts'
import { dateOf, fromMl, noonOf, toMl } from '../../words/disposal-words.ts'
import type { Shown } from './shown.ts'

/** A new entry, or the correction of one. */
export function EntryForm({
  app,
  log,
  unit,
  timeZone,
  entry,
  done,
}: Shown & { entry: DisposalView | null; done: () => void }) {
  const today = dateOf(app.clock.quarterMinuteMs.value, timeZone)
  const [bottleId, setBottleId] = useState(
    entry ? (entry.bottleId ?? '') : (log.emptyings[0]?.bottleId ?? ''),
  )
  const [volume, setVolume] = useState(entry ? String(fromMl(entry.volumeMl, unit)) : '')
  const [date, setDate] = useState(entry ? dateOf(entry.disposedMs, timeZone) : today)
  const [toWhom, setToWhom] = useState(entry?.toWhom ?? '')
  const [note, setNote] = useState(entry?.note ?? '')
  const suggested = entry ? undefined : log.emptyings.find((e) => e.bottleId === bottleId)

  /** Today is now; another day is its noon; a correction that leaves the day leaves the time. */
  const disposedMs = (): number => {
    if (entry && date === dateOf(entry.disposedMs, timeZone)) return entry.disposedMs
    return date === today ? Math.round(app.clock.nowMs.peek()) : noonOf(date, timeZone)
  }
  const send = async (): Promise<void> => {
    const ok = await app.work.log(entry?.disposalId ?? null, {
      bottleId: bottleId || null,
      volumeMl: toMl(Number(volume), unit),
      toWhom,
      note,
      disposedMs: disposedMs(),
    })
    if (!ok) return
    setVolume('')
    setNote('')
    done()
    document.getElementById('logbook-title')?.focus()
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
      {entry && (
        <p class="hint">
          {`You correct the entry for ${entry.toWhom}. What it says now stays in its history. If nothing left after all, write 0.`}
        </p>
      )}
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
      {suggested && (
        <button
          type="button"
          class="plain"
          onClick={() => setVolume(String(fromMl(suggested.volumeMl, unit)))}
        >
          {`Take what the scale saw leave: ${fromMl(suggested.volumeMl, unit)} ${unit}`}
        </button>
      )}
      <label for="disposal-date">On which day</label>
      <input
        id="disposal-date"
        type="date"
        required
        max={today}
        value={date}
        onInput={(event) => setDate(event.currentTarget.value)}
      />
      <label for="disposal-whom">To whom</label>
      <input
        id="disposal-whom"
        required
        maxLength={120}
        value={toWhom}
        onInput={(event) => setToWhom(event.currentTarget.value)}
      />
      <label for="disposal-note">A note, if there is something to remember</label>
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
