import type { DeliveryAttempt } from '../../../../../services/core/model/ports/notice-store.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { FEW_DELIVERIES, MOST_DELIVERIES } from '../../../models/telling-model.ts'
import { deliveryLine, needsSomebody } from '../../../words/delivery-words.ts'

/** Every try to reach somebody, the newest first. */
export function DeliveryLog({ app }: { app: AppModel }) {
  const { deliveries } = app.telling
  const list = deliveries.value
  if (!list) return null
  const isCutOff = list.length === FEW_DELIVERIES
  return (
    <section class="part" aria-labelledby="log-title">
      <h2 id="log-title">What was sent</h2>
      {list.length === 0 ? (
        <p>Nothing was sent yet. Send a test, and it stands here with what came of it.</p>
      ) : (
        <ol class="list deliveries">
          {list.map((attempt, at) => (
            <Line
              key={`${attempt.atMs} ${at}`}
              app={app}
              attempt={attempt}
              isCalling={needsSomebody(list, at)}
            />
          ))}
        </ol>
      )}
      <p class="buttons">
        <button type="button" class="plain strong" onClick={() => void app.telling.loadDeliveries()}>
          Look again
        </button>
        {isCutOff && (
          <button
            type="button"
            class="plain"
            onClick={() => void app.telling.loadDeliveries(MOST_DELIVERIES)}
          >
            Show older ones too
          </button>
        )}
      </p>
    </section>
  )
}

function Line({ app, attempt, isCalling }: { app: AppModel; attempt: DeliveryAttempt; isCalling: boolean }) {
  const contacts = app.telling.view.value?.contacts ?? []
  const line = deliveryLine(attempt, {
    timeZone: app.board.board.value?.site.timeZone ?? 'UTC',
    nowMs: app.clock.quarterMinuteMs.value,
    titleOf: (id) => contacts.find((c) => c.id === id)?.title,
  })
  return (
    <li>
      <p class="list-title">{line.what}</p>
      <p class={isCalling ? 'fault' : 'evidence'}>{line.cameOfIt}</p>
    </li>
  )
}
