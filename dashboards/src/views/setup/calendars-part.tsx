import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { nearTime } from '../../words/shop-time.ts'
import { Announcement, Trouble } from '../states.tsx'
import { AddByTitle } from './add-by-title.tsx'

/** Secret addresses for calendars. They are made and revoked at once, and not with the rest of the settings. */
export function CalendarsPart({ app }: { app: AppModel }) {
  const { calendars, trouble, announcement, load, add } = app.calendars
  useEffect(() => void load(), [])
  return (
    <fieldset class="part">
      <legend>Calendar</legend>
      <p class="hint">
        An address that a calendar app reads by itself, with what is to be done and when the routines come.
        Whoever has it can read that much without signing in, so make one for each calendar and keep it to
        yourself. It is good at once.
      </p>
      {trouble.value && <Trouble text={trouble.value} />}
      <Announcement text={announcement.value} />
      <MadeAddress app={app} />
      <ul class="list">
        {calendars.value.map((calendar) => (
          <CalendarRow key={calendar.id} app={app} calendar={calendar} />
        ))}
      </ul>
      <AddByTitle
        id="add-calendar"
        label="Whose calendar"
        placeholder="Mira's phone"
        button="Make an address"
        add={(title) => void add(title)}
      />
    </fieldset>
  )
}

function CalendarRow({
  app,
  calendar,
}: {
  app: AppModel
  calendar: AppModel['calendars']['calendars']['value'][number]
}) {
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  const made = nearTime(calendar.createdMs, { timeZone, nowMs: app.clock.quarterMinuteMs.value })
  return (
    <li class="list-row">
      <span>
        <span class="list-title">{calendar.title}</span>
        <span class="aside">{`made ${made}`}</span>
      </span>
      <button type="button" class="plain" onClick={() => void app.calendars.remove(calendar)}>
        Revoke<span class="only-read">{` the address for ${calendar.title}`}</span>
      </button>
    </li>
  )
}

/** The address is in the browser only now: the monitor keeps no more of it than it takes to know it again. */
function MadeAddress({ app }: { app: AppModel }) {
  const made = app.calendars.made.value
  if (!made) return null
  return (
    <div class="secret" role="group" aria-label={`The address for ${made.title}`}>
      <p>{`The address for ${made.title}. Copy it into the calendar app now, as a calendar from the internet: it is not shown again.`}</p>
      <p>
        <code class="secret-text">{`${location.origin}${made.path}`}</code>
      </p>
      <button type="button" class="plain" onClick={app.calendars.putAway}>
        I have it, put it away
      </button>
    </div>
  )
}
