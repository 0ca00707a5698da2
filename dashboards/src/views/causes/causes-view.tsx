import { useEffect } from 'preact/hooks'
import type { CausesQuestion, CausesView as Page } from '../../../../services/core/model/causes-view.ts'
import { NIGHTS_CSV } from '../../api/causes-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { count, EXPOSURE_WORDS, LEFT_OUT_WORDS, TERMS } from '../../words/cause-words.ts'
import { dayAndClock, nightDay } from '../../words/shop-time.ts'
import { Trouble, Waiting } from '../states.tsx'
import { BetterLimits } from './better-limits.tsx'
import { CauseSection, TestsTable } from './cause-section.tsx'

/** What goes with clogs, never said stronger than the numbers. */
export default function CausesView({ app }: { app: AppModel }) {
  const { status, trouble } = app.causes
  useEffect(() => {
    void app.causes.open()
    return app.causes.leave
  }, [])
  const now = status.value
  if (!now)
    return trouble.value ? <Trouble text={trouble.value} retry={() => void app.causes.open()} /> : <Waiting />
  const { page } = now
  return (
    <div class="causes">
      <h1 class="statement">{page?.headline ?? 'What goes with clogs'}</h1>
      {trouble.value && <Trouble text={trouble.value} retry={() => void app.causes.open()} />}
      {now.problem && <Trouble text={now.problem} retry={() => void app.causes.compute()} />}
      <Work app={app} />
      {page && <Told app={app} page={page} />}
    </div>
  )
}

/** How far it is, and the way to stop it or to begin it anew. */
function Work({ app }: { app: AppModel }) {
  const { work, isCurrent, page } = app.causes.status.value ?? {}
  const text = work ? `${work.doing}: ${Math.round(work.share * 100)} % done.` : ''
  return (
    <>
      <p class="only-read" role="status">
        {work ? 'Working it out.' : page ? 'Worked out.' : ''}
      </p>
      {work && (
        <div class="causes-work">
          <label for="causes-progress">{text}</label>
          <progress id="causes-progress" max="1" value={work.share} />
          <button type="button" class="plain strong" onClick={() => void app.causes.stop()}>
            Stop
          </button>
        </div>
      )}
      {!work && !isCurrent && (
        <p class="causes-work">
          {page ? 'Something has changed since this was worked out.' : 'It was not worked out yet.'}
          <button type="button" class="plain strong" onClick={() => void app.causes.compute()}>
            Work it out
          </button>
        </p>
      )}
    </>
  )
}

function Told({ app, page }: { app: AppModel; page: Page }) {
  const { counts, nights, rows, tests } = page
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  return (
    <>
      {nights && (
        <p class="evidence">
          {`${count(counts.clogs, 'new clog')} in ${count(counts.counted, 'checked night')} of ${count(counts.channelGroups, 'channel group')}, from the night of ${nightDay(nights.first)} to that of ${nightDay(nights.last)}.`}
        </p>
      )}
      <Narrow app={app} question={page.question} />
      {rows.length > 0 && (
        <section aria-labelledby="causes-each">
          <h2 id="causes-each">One by one</h2>
          {rows.map((row) => (
            <CauseSection key={row.exposure} row={row} tests={tests} />
          ))}
        </section>
      )}
      <BetterLimits proposals={page.proposals} />
      <ActedUpon page={page} />
      <Frozen page={page} timeZone={timeZone} />
      {tests.length > 0 && (
        <section aria-labelledby="causes-tests">
          <h2 id="causes-tests">Every test of this page</h2>
          <p class="hint">{`Corrected: ${TERMS.corrected} ${TERMS.weeks}`}</p>
          <details class="numbers">
            <summary>{count(tests.length, 'test')}</summary>
            <TestsTable tests={tests} isWhole />
          </details>
        </section>
      )}
      <LeftOut page={page} />
      <section aria-labelledby="causes-own">
        <h2 id="causes-own">For tools of your own</h2>
        <p>
          <a href={NIGHTS_CSV} download>
            Every night with its outcome, as CSV
          </a>
        </p>
        <p class="hint">
          {`Worked out ${dayAndClock(page.computedMs, timeZone)}. Rules of nights: ${page.modelVersion}. Weeks were exchanged ${page.resampling.draws} times from seed ${page.resampling.seed}: the same nights give the same page.`}
        </p>
      </section>
    </>
  )
}

/** Part of the nights alone. */
function Narrow({ app, question }: { app: AppModel; question: CausesQuestion }) {
  const machines = app.board.board.value?.machines ?? []
  const ask = (change: Partial<CausesQuestion>): void =>
    void app.causes.ask({ ...app.causes.question.value, ...change })
  const isNarrow = question.from !== null || question.to !== null || question.machineId !== null
  return (
    <form class="causes-narrow" aria-label="Which nights" onSubmit={(event) => event.preventDefault()}>
      <label>
        From
        <input
          type="date"
          value={app.causes.question.value.from ?? ''}
          onChange={(event) => ask({ from: event.currentTarget.value || null })}
        />
      </label>
      <label>
        To
        <input
          type="date"
          value={app.causes.question.value.to ?? ''}
          onChange={(event) => ask({ to: event.currentTarget.value || null })}
        />
      </label>
      <label>
        Machine
        <select
          value={app.causes.question.value.machineId ?? ''}
          onChange={(event) => ask({ machineId: event.currentTarget.value || null })}
        >
          <option value="">All</option>
          {machines.map(({ id, title }) => (
            <option key={id} value={id}>
              {title}
            </option>
          ))}
        </select>
      </label>
      {isNarrow && (
        <p class="hint">
          Part of the nights alone. Who looks at many parts finds something by luck in one of them.
        </p>
      )}
    </form>
  )
}

function ActedUpon({ page: { counts } }: { page: Page }) {
  const { nights, checked, clogs } = counts.actedUpon
  if (nights === 0) return null
  return (
    <section aria-labelledby="causes-acted">
      <h2 id="causes-acted">Nights that somebody acted upon</h2>
      <p>
        {`On ${count(nights, 'night')} of a channel group Nightcap told somebody, who did something about it: ${count(checked, 'was', 'were')} checked afterwards, with ${count(clogs, 'new clog')}. They stand apart and count nowhere else, since they are not what they would have been.`}
      </p>
    </section>
  )
}

function Frozen({ page: { frozen }, timeZone }: { page: Page; timeZone: string }) {
  const claims = frozen.filter((f) => f.verdict.direction !== 0)
  const months = new Set(frozen.map((f) => f.month)).size
  return (
    <section aria-labelledby="causes-frozen">
      <h2 id="causes-frozen">Verdicts of past months</h2>
      <p class="hint">
        At the end of each month the verdicts are frozen as they stand. What they claim is then held against
        the nights that come after, which had no part in it.
      </p>
      {months === 0 ? (
        <p>None yet: the first are frozen when a month has ended.</p>
      ) : claims.length === 0 ? (
        <p>{`${count(months, 'month')} frozen; nothing was claimed.`}</p>
      ) : (
        <ul class="causes-frozen">
          {claims.map(({ month, frozenMs, verdict, confirmation, modelVersion }) => (
            <li key={month + verdict.exposure}>
              <p>{`${month}, ${EXPOSURE_WORDS[verdict.exposure].title}: ${verdict.text}`}</p>
              <p class="cause-verdict">{confirmation?.text ?? ''}</p>
              <p class="hint">{`Frozen ${dayAndClock(frozenMs, timeZone)}; rules of nights: ${modelVersion}.`}</p>
            </li>
          ))}
        </ul>
      )}
    </section>
  )
}

function LeftOut({ page: { counts } }: { page: Page }) {
  const reasons = (Object.keys(LEFT_OUT_WORDS) as (keyof typeof LEFT_OUT_WORDS)[]).filter(
    (reason) => counts.checksLeftOut[reason] > 0,
  )
  return (
    <section aria-labelledby="causes-left">
      <h2 id="causes-left">What was left out, and why</h2>
      <ul class="causes-lines">
        <li>
          {`${count(counts.unchecked, 'night')} of a channel group without a check that tells of it: missing, not clear.`}
        </li>
        {reasons.map((reason) => (
          <li key={reason}>{`${count(counts.checksLeftOut[reason], 'check')} ${LEFT_OUT_WORDS[reason]}.`}</li>
        ))}
        {counts.onSuspicion > 0 && (
          <li>
            {`Counted, but to be kept in mind: ${count(counts.onSuspicion, 'check')} of ${counts.checks} were made on suspicion. Who looks when something seems wrong finds more clogs on bad nights.`}
          </li>
        )}
      </ul>
    </section>
  )
}
