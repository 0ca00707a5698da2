import { useState } from 'preact/hooks'
import type { FeedRow, LogRow, LogVersion } from '../../api/log-api.ts'
import { LOG_PATHS } from '../../api/log-api.ts'
import { dayText } from '../../words/disposal-words.ts'
import {
  entryTitle,
  groupTitle,
  HELPED_WORDS,
  KIND_WORDS,
  logIdOf,
  logTimeOf,
  REASON_WORDS,
  versionWords,
} from '../../words/log-words.ts'
import { clockTime, nearTime } from '../../words/shop-time.ts'
import { hashOf } from '../../models/route.ts'
import { PatternMarks } from '../morning/nozzle-pattern.tsx'
import { EntryFields } from './entry-fields.tsx'
import type { ShownLog } from './shown-log.ts'
import { Choose } from './when.tsx'

type Kind = keyof typeof KIND_WORDS
const KINDS = Object.entries(KIND_WORDS) as [Kind, string][]

/** Everything that was written down, the last day first. */
export function Feed(shown: ShownLog) {
  const { app, feed, timeZone } = shown
  const days = new Map<string, FeedRow[]>()
  for (const row of feed.entries) {
    const day = dayText(logTimeOf(row), timeZone)
    days.set(day, [...(days.get(day) ?? []), row])
  }
  return (
    <section aria-labelledby="written-down">
      <h2 id="written-down">Written down</h2>
      <Filter {...shown} />
      {days.size === 0 && <p class="hint">Nothing of this kind is written down yet.</p>}
      {[...days].map(([day, rows]) => (
        <section key={day} class="log-day" aria-label={day}>
          <h3>{day}</h3>
          <ul class="list">
            {rows.map((row) => (
              <Row
                key={`${row.kind} ${row.kind === 'disposal' ? row.disposalId : logIdOf(row)}`}
                {...shown}
                row={row}
              />
            ))}
          </ul>
        </section>
      ))}
      {feed.moreBeforeMs !== null && (
        <button type="button" class="plain" onClick={() => void app.log.more()}>
          Older entries
        </button>
      )}
      <Files />
    </section>
  )
}

function Filter({ app, feed }: ShownLog) {
  const { machineId, kind } = app.log.filter.value
  return (
    <div class="log-filter">
      <div>
        <Choose
          label="Kind"
          value={kind}
          set={(next) => void app.log.choose({ kind: next })}
          choices={[['', 'All'], ...KINDS]}
        />
      </div>
      <div>
        <Choose
          label="Of machine"
          value={machineId}
          set={(next) => void app.log.choose({ machineId: next })}
          choices={[['', 'All'], ...feed.machines.map((m) => [m.id, m.title] as const)]}
        />
      </div>
    </div>
  )
}

function Row({ row, ...shown }: ShownLog & { row: FeedRow }) {
  const { app, feed, unit, timeZone } = shown
  const [isOpen, setOpen] = useState(false)
  const title = entryTitle(row, { places: feed, unit })
  const text = row.kind === 'note' ? row.text : row.note
  return (
    <li class="log-row">
      <p class="list-title">{title}</p>
      <p class="evidence">{evidenceOf(row, timeZone)}</p>
      {text && <q class="note">{text}</q>}
      {row.kind === 'nozzleCheck' && <Marks row={row} feed={feed} />}
      {row.kind === 'disposal' ? (
        <p>
          <a href={hashOf({ page: 'logbook', part: 'waste' })}>Correct it under waste</a>
        </p>
      ) : (
        <>
          {row.corrections > 0 && <History {...shown} row={row} />}
          {mayChange(app, row) && (
            <button type="button" class="plain" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
              Correct
              <span class="only-read">{`: ${title}, ${evidenceOf(row, timeZone)}`}</span>
            </button>
          )}
          {isOpen && (
            <>
              <EntryFields {...shown} kind={row.kind} row={row} done={() => setOpen(false)} />
              <TakeOut {...shown} row={row} done={() => setOpen(false)} />
            </>
          )}
        </>
      )}
    </li>
  )
}

function mayChange(app: ShownLog['app'], row: LogRow): boolean {
  return app.session.may(row.kind === 'nozzleCheck' ? 'logNozzleChecks' : 'writeLogbook')
}

function evidenceOf(row: FeedRow, timeZone: string): string {
  const parts = [
    row.kind === 'disposal' ? '' : clockTime(logTimeOf(row), timeZone),
    row.kind === 'nozzleCheck' ? REASON_WORDS[row.reason].toLowerCase() : '',
    row.kind === 'care' && row.helped !== null ? HELPED_WORDS[row.helped].toLowerCase() : '',
    row.by === null ? '' : `by ${row.by}`,
  ]
  return parts.filter((part) => part !== '').join(', ')
}

function Marks({ row, feed }: { row: Extract<LogRow, { kind: 'nozzleCheck' }>; feed: ShownLog['feed'] }) {
  const marked = row.missing.filter((m) => (m.places ?? []).length > 0)
  if (marked.length === 0) return null
  return (
    <div class="pattern-list">
      {marked.map((m) => {
        const title = groupTitle(feed, m.channelGroupId)
        return (
          <figure key={m.channelGroupId}>
            <PatternMarks title={title} places={m.places ?? []} />
            <figcaption class="hint">{title}</figcaption>
          </figure>
        )
      })}
    </div>
  )
}

/** What it said before, asked for when it is unfolded. */
function History({ row, ...shown }: ShownLog & { row: LogRow }) {
  const { app, feed, unit, timeZone } = shown
  const [versions, setVersions] = useState<readonly LogVersion[]>([])
  const nowMs = app.clock.quarterMinuteMs.value
  return (
    <details
      onToggle={(event) => {
        if (event.currentTarget.open) void app.log.history(row).then(setVersions)
      }}
    >
      <summary>{row.corrections === 1 ? 'Corrected once' : `Corrected ${row.corrections} times`}</summary>
      <ol>
        {versions.map((v, at) => (
          <li key={at} class="evidence">
            {`${nearTime(v.act.atMs, { timeZone, nowMs })}, ${v.by ?? 'someone'} wrote: ${versionWords(v, { places: feed, unit, timeZone })}`}
          </li>
        ))}
      </ol>
    </details>
  )
}

/** Nothing is deleted: it no longer counts, and stays in the history. */
function TakeOut({ app, row, done }: ShownLog & { row: LogRow; done: () => void }) {
  const [isAsking, setAsking] = useState(false)
  const takeOut = async (): Promise<void> => {
    if (!(await app.log.correct(row, saidOf(row), true))) return
    done()
    document.getElementById('logbook-title')?.focus()
  }
  if (!isAsking)
    return (
      <button type="button" class="plain" onClick={() => setAsking(true)}>
        It did not happen: take it out
      </button>
    )
  return (
    <p class="buttons">
      It will count no more, and stay in its history.
      <button type="button" class="plain strong" onClick={() => void takeOut()}>
        Take it out
      </button>
      <button type="button" class="plain" onClick={() => setAsking(false)}>
        Leave it
      </button>
    </p>
  )
}

function saidOf(row: LogRow): Parameters<ShownLog['app']['log']['correct']>[1] {
  switch (row.kind) {
    case 'nozzleCheck': {
      const { machineId, checkedMs, reason, missing, note } = row
      return { kind: row.kind, said: { machineId, checkedMs, reason, missing, note } }
    }
    case 'care': {
      const { machineId, care, channelGroupIds, doneMs, helpedSaid, note } = row
      return { kind: row.kind, said: { machineId, care, channelGroupIds, doneMs, helpedSaid, note } }
    }
    case 'note': {
      const { subject, text, atMs } = row
      return { kind: row.kind, said: { subject, text, atMs } }
    }
    case 'headChange': {
      const { machineId, headId, changedMs, note } = row
      return { kind: row.kind, said: { machineId, headId, changedMs, note } }
    }
  }
}

function Files() {
  const kinds = KINDS.filter((k): k is [keyof typeof LOG_PATHS, string] => k[0] !== 'disposal')
  return (
    <p class="log-files">
      As tables (CSV):{' '}
      {kinds.map(([kind, label]) => (
        <a key={kind} href={`/api/v1/${LOG_PATHS[kind]}.csv`} download>
          {label}
        </a>
      ))}
    </p>
  )
}
