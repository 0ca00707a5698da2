import { useState } from 'preact/hooks'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { QUANTITY_WORDS, readingText } from '../../words/reading-text.ts'
import { heardAgo } from '../../words/heard-ago.ts'
import { AssignForm } from './assign-form.tsx'
import { ReplaceForm } from './replace-form.tsx'

const FRESH_MS = 3_600_000
type Sensor = View['sensors'][number]

/** Sensors that wait come first; the rest by what they belong to. */
export function SensorList({
  app,
  view,
  timeText,
}: {
  app: AppModel
  view: View
  timeText: (atMs: number) => string
}) {
  const waiting = view.sensors.filter((s) => !s.assignedTo)
  const assigned = view.sensors.filter((s) => s.assignedTo)
  return (
    <section aria-labelledby="sensors">
      <h2 id="sensors">Sensors</h2>
      {view.sensors.length === 0 && (
        <p class="hint">
          Add a node below and start it on the small computer by the machines. Its sensors appear here by
          themselves once they are heard.
        </p>
      )}
      <ul class="list">
        {[...waiting, ...assigned].map((sensor) => (
          <SensorItem key={`${sensor.id} ${sensor.quantity}`} app={app} sensor={sensor} timeText={timeText} />
        ))}
      </ul>
    </section>
  )
}

function SensorItem({
  app,
  sensor,
  timeText,
}: {
  app: AppModel
  sensor: Sensor
  timeText: (atMs: number) => string
}) {
  const [isOpen, setOpen] = useState(false)
  const temperatureUnit = app.board.board.value?.site.temperatureUnit ?? 'degC'
  const live = app.sensors.latest.value.get(sensor.id)
  const { assignedTo } = sensor
  const lastAtMs = live?.atMs ?? sensor.lastAtMs
  const lastValue = live?.value ?? sensor.lastValue
  const mayAssign = app.session.may('changeSettings')
  return (
    <li class="sensor">
      <div class="list-row">
        <div>
          <p class="list-title">
            {sensor.title ?? sensor.id}
            {sensor.title && <code class="aside">{sensor.id}</code>}
          </p>
          <p class="evidence">
            {assignedTo
              ? `${QUANTITY_WORDS[sensor.quantity]} of ${assignedTo.title}`
              : `${QUANTITY_WORDS[sensor.quantity]}, not assigned yet`}
            {sensor.silent && assignedTo && <span class="standing-word standing-beforeOpening"> Silent</span>}
          </p>
        </div>
        <p class="list-value">
          {readingText({ ...sensor, lastValue }, temperatureUnit)}
          <span class="aside">{ageText(lastAtMs, app.clock.nowMs.value, timeText)}</span>
        </p>
        {mayAssign && (
          <button
            type="button"
            class={assignedTo ? 'plain' : 'plain strong'}
            aria-expanded={isOpen}
            onClick={() => setOpen(!isOpen)}
          >
            {isOpen ? 'Fold up' : assignedTo ? 'Change' : 'Assign'}
            <span class="only-read">{` ${sensor.title ?? sensor.id}`}</span>
          </button>
        )}
      </div>
      {isOpen && <AssignForm app={app} sensor={sensor} close={() => setOpen(false)} />}
      {isOpen && <ReplaceForm app={app} sensor={sensor} close={() => setOpen(false)} />}
    </li>
  )
}

/** The age of what is fresh, the time of what is not. */
function ageText(atMs: number | null, nowMs: number, timeText: (atMs: number) => string): string {
  return atMs !== null && nowMs - atMs > FRESH_MS ? timeText(atMs) : heardAgo(atMs, nowMs)
}
