import { useEffect } from 'preact/hooks'
import type { MorningLine, MorningView as Report } from '../../../../services/core/model/morning.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { dayAndClock, nightDay } from '../../words/shop-time.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { MorningCheck } from './nozzle-check.tsx'

/** The night, told as one person tells it to another, and the check before the first print. */
export default function MorningView({ app }: { app: AppModel }) {
  const { report, trouble, announcement } = app.morning
  useEffect(() => void app.morning.load(), [])
  const shown = report.value
  if (!shown)
    return trouble.value ? (
      <>
        <h1 class="statement">There is no night to tell of.</h1>
        <Trouble text={trouble.value} retry={() => void app.morning.load()} />
      </>
    ) : (
      <Waiting />
    )
  const { night, timeZone, sentence, lines, unknown, measured, nowMs } = shown
  const until = night.toMs >= nowMs ? 'now' : dayAndClock(night.toMs, timeZone)
  return (
    <div class="morning">
      <h1 class="statement">{sentence}</h1>
      <p class="evidence">{`${dayAndClock(night.fromMs, timeZone)} to ${until}`}</p>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      <Lines id="morning-told" title="What happened" lines={lines} />
      <Lines id="morning-unknown" title="What was not seen" lines={unknown} />
      <Waits app={app} report={shown} />
      {app.session.may('logNozzleChecks') && shown.machines.length > 0 && (
        <MorningCheck app={app} machines={shown.machines} />
      )}
      {measured.length > 0 && (
        <section aria-labelledby="morning-measured">
          <h2 id="morning-measured">Air, ink and bottles</h2>
          <ul class="morning-lines">
            {measured.map((line) => (
              <li key={line}>{unbroken(line)}</li>
            ))}
          </ul>
        </section>
      )}
      <Earlier app={app} report={shown} />
    </div>
  )
}

interface LinesProps {
  readonly id: string
  readonly title: string
  readonly lines: readonly MorningLine[]
}

function Lines({ id, title, lines }: LinesProps) {
  if (lines.length === 0) return null
  return (
    <section aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ol class="morning-lines">
        {lines.map(({ text }) => (
          <li key={text}>{unbroken(text)}</li>
        ))}
      </ol>
    </section>
  )
}

/** What waits now, and "Seen" for what is over. */
function Waits({ app, report: { tasks, unseen } }: { app: AppModel; report: Report }) {
  if (tasks.length === 0 && unseen.length === 0) return null
  return (
    <section aria-labelledby="morning-waits">
      <h2 id="morning-waits">What waits now</h2>
      <ul class="morning-lines">
        {tasks.map(({ id, title }) => (
          <li key={id}>
            <a href={hashOf({ page: 'tasks', taskId: id })}>{title}</a>
          </li>
        ))}
        {unseen.map(({ id, title }) => (
          <li key={id}>{`${title}. It is over; nobody has said yet that they saw it.`}</li>
        ))}
      </ul>
      {unseen.length > 0 && app.session.may('acknowledgeAlarms') && (
        <button type="button" class="do" onClick={() => void app.morning.see()}>
          Seen
        </button>
      )}
    </section>
  )
}

function Earlier({ app, report: { earlier, night } }: { app: AppModel; report: Report }) {
  if (earlier.length < 2) return null
  return (
    <section aria-labelledby="morning-earlier">
      <h2 id="morning-earlier">Other nights</h2>
      <label class="morning-pick">
        The night that began on{' '}
        <select onChange={(event) => void app.morning.load(event.currentTarget.value)} value={night.date}>
          {earlier.map((date) => (
            <option key={date} value={date}>
              {nightDay(date)}
            </option>
          ))}
        </select>
      </label>
    </section>
  )
}
