import type { AppModel } from '../../models/app-model.ts'
import { QUANTITY_WORDS, readingText } from '../../words/reading-text.ts'
import { heardAgo } from '../../words/heard-ago.ts'

/** Whether a node was heard, live: its first word is what whoever stands beside it waits for. */
export function NodeHeard({ app, nodeId }: { app: AppModel; nodeId: string }) {
  const sensors = app.sensors.view.value?.sensors.filter((s) => s.id.startsWith(`${nodeId}/`)) ?? []
  const latest = app.sensors.latest.value
  const temperatureUnit = app.board.board.value?.site.temperatureUnit ?? 'degC'
  const nowMs = app.clock.nowMs.value
  if (sensors.length === 0)
    return (
      <p class="node-heard" role="status">
        Waiting for its first word…
      </p>
    )
  return (
    <div class="node-heard">
      <p role="status">It is heard.</p>
      <ul>
        {sensors.map((sensor) => {
          const live = latest.get(sensor.id)
          const lastValue = live?.value ?? sensor.lastValue
          return (
            <li key={sensor.id}>
              {`${QUANTITY_WORDS[sensor.quantity]}: ${readingText({ ...sensor, lastValue }, temperatureUnit)}, ${heardAgo(live?.atMs ?? sensor.lastAtMs, nowMs)}`}
            </li>
          )
        })}
      </ul>
    </div>
  )
}
