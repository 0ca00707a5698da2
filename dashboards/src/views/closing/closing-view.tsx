import { useEffect } from 'preact/hooks'
import type { ClosingAnswer } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { nearTime } from '../../words/shop-time.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { ClosingGroup } from './closing-group.tsx'

/** One list for the shop, gone through by hand; its verdict stays in sight. */
export function ClosingView({ app }: { app: AppModel }) {
  const { list, trouble, announcement } = app.closing
  useEffect(() => {
    void app.closing.load()
  }, [])
  const shown = list.value
  if (!shown)
    return trouble.value ? (
      <Trouble text={trouble.value} retry={() => void app.closing.load()} />
    ) : (
      <Waiting />
    )
  const { groups, forecast } = shown
  return (
    <div class="closing">
      <Verdict list={shown} />
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {groups.map((group) => (
        <ClosingGroup key={group.machineId ?? ''} app={app} list={shown} group={group} />
      ))}
      {forecast.length > 0 && (
        <section aria-labelledby="closing-night">
          <h2 id="closing-night">The coming night</h2>
          <ul class="closing-lines">
            {forecast.map((line) => (
              <li key={line}>{unbroken(line)}</li>
            ))}
          </ul>
        </section>
      )}
      <End app={app} list={shown} />
    </div>
  )
}

function Verdict({ list: { verdict, settled, required } }: { list: ClosingAnswer }) {
  return (
    <div class="closing-verdict">
      <h1 class="statement">{verdict.sentence}</h1>
      <p class="evidence">
        <progress value={settled} max={Math.max(1, required)} aria-label="Steps that are settled" />
        {` ${settled} of ${required} steps`}
      </p>
    </div>
  )
}

/** What stands in the way, and the way out: also of a list that is not ready. */
function End({ app, list }: { app: AppModel; list: ClosingAnswer }) {
  const { verdict, finished, names, timeZone, nowMs } = list
  return (
    <section aria-labelledby="closing-end">
      <h2 id="closing-end">{verdict.ready ? 'All is done' : 'What is not ready'}</h2>
      {!verdict.ready && (
        <ul class="closing-lines">
          {verdict.notReady.map(({ what, action }) => (
            <li key={what}>
              {unbroken(what)} <span class="evidence">{action}</span>
            </li>
          ))}
        </ul>
      )}
      {finished && (
        <p class="closing-finished">
          {`${names[finished.actorId] ?? 'Somebody'} finished the list at ${nearTime(finished.atMs, { timeZone, nowMs })}, ${
            finished.ready ? 'ready for the night' : 'not ready'
          }.`}
        </p>
      )}
      {app.session.may('doClosing') && (
        <button type="button" class="do" onClick={() => void app.closing.finish()}>
          {verdict.ready ? 'Finish: the shop is closed' : 'Finish although it is not ready'}
        </button>
      )}
    </section>
  )
}
