import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { gistText, leftText } from '../../words/rerun-words.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { RerunCurve } from './rerun-curve.tsx'
import { RerunForm } from './rerun-form.tsx'
import { RerunTable } from './rerun-table.tsx'
import { RerunUse } from './rerun-use.tsx'

/** The past under another limit: what would have been said, and what of it would have warned of a clog. */
export default function RerunPage({
  app,
  limit,
  value,
}: {
  app: AppModel
  limit: string | null
  value: number | null
}) {
  const { limits, rerun, trouble, announcement } = app.rerun
  useEffect(() => {
    void app.rerun.load()
  }, [])
  const choices = limits.value
  const shown = rerun.value
  return (
    <div class="rerun">
      <h1 class="statement">What would another limit have done?</h1>
      <p class="evidence">
        The stored past goes through the same rules once more, with one limit changed. Nobody is told of
        anything, and nothing is changed.
      </p>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {!choices ? (
        !trouble.value && <Waiting />
      ) : (
        <RerunForm key={`${limit} ${value}`} app={app} choices={choices} limit={limit} value={value} />
      )}
      {shown && <Progress app={app} />}
      {shown && shown.outcomes.length > 0 && (
        <section aria-labelledby="rerun-found">
          <h2 id="rerun-found">{`${shown.choice.group}: ${shown.choice.title.toLowerCase()}`}</h2>
          {gistText(shown) && <p class="rerun-gist">{gistText(shown)}</p>}
          <RerunTable app={app} rerun={shown} />
          <RerunCurve rerun={shown} />
          {app.session.may('changeSettings') && <RerunUse key={shown.id} app={app} rerun={shown} />}
        </section>
      )}
    </div>
  )
}

function Progress({ app }: { app: AppModel }) {
  const shown = app.rerun.rerun.value
  if (!shown || shown.state === 'done') return null
  if (shown.state === 'failed')
    return (
      <p class="trouble" role="alert">
        The re-run failed: {shown.reason}
      </p>
    )
  if (shown.state === 'stopped')
    return (
      <p class="evidence">
        Stopped before it was whole. What is shown below was finished by then, each value over the whole
        period.
      </p>
    )
  return (
    <div class="rerun-progress">
      <label for="rerun-bar">{`${shown.doing}. ${leftText(shown.leftMs)}.`}</label>
      <progress id="rerun-bar" max={1} value={shown.share} />
      <button type="button" class="plain strong" onClick={() => void app.rerun.stop()}>
        Stop
      </button>
    </div>
  )
}
