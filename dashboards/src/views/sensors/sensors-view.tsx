import { useEffect, useState } from 'preact/hooks'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { countText } from '../../words/quantity-text.ts'
import { nearTime } from '../../words/shop-time.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { ForeignForm } from './foreign-form.tsx'
import { NodeList } from './node-list.tsx'
import { SensorList } from './sensor-list.tsx'

export function SensorsView({ app }: { app: AppModel }) {
  const { view, trouble, announcement } = app.sensors
  useEffect(() => {
    if (app.session.may('seeSettings') && !app.settings.saved.peek()) void app.settings.load()
  }, [])
  if (!view.value)
    return trouble.value ? (
      <Trouble text={trouble.value} retry={() => void app.sensors.load()} />
    ) : (
      <Waiting />
    )
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  const nowMs = app.clock.quarterMinuteMs.value
  const timeText = (atMs: number): string => nearTime(atMs, { timeZone, nowMs })
  return (
    <>
      <h1 class="statement">{headline(view.value)}</h1>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      <SensorList app={app} view={view.value} timeText={timeText} />
      <NodeList app={app} view={view.value} timeText={timeText} />
      {app.session.may('changeSettings') && <Foreign app={app} view={view.value} />}
      {app.session.may('seeQuarantine') && <Quarantine view={view.value} timeText={timeText} />}
    </>
  )
}

function Foreign({ app, view }: { app: AppModel; view: View }) {
  const [isOpen, setOpen] = useState(false)
  const settings = app.settings.saved.value
  return (
    <section aria-labelledby="foreign">
      <h2 id="foreign">Other devices</h2>
      <p class="hint">A device that publishes numbers or JSON of its own over MQTT can be read too.</p>
      <button type="button" class="plain strong" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        {isOpen ? 'Fold up' : 'Bind a device'}
      </button>
      {isOpen && settings && <ForeignForm app={app} view={view} settings={settings} />}
    </section>
  )
}

function headline({ sensors }: View): string {
  const waiting = sensors.filter((s) => !s.assignedTo).length
  const silent = sensors.filter((s) => s.assignedTo && s.silent).length
  if (sensors.length === 0) return 'No sensor has been heard yet.'
  if (waiting > 0) return `${countText(waiting, 'sensor waits', 'sensors wait')} to be assigned.`
  if (silent > 0) return `${countText(silent, 'sensor is', 'sensors are')} silent.`
  return 'All sensors report.'
}

/** What came in and could not be used, and why: so that a miswired sensor is found from here. */
function Quarantine({ view, timeText }: { view: View; timeText: (atMs: number) => string }) {
  return (
    <section aria-labelledby="quarantine">
      <h2 id="quarantine">Set aside</h2>
      {view.quarantine.length === 0 ? (
        <p class="hint">Every message so far could be used.</p>
      ) : (
        <ul class="list">
          {view.quarantine.map(({ topic, code, reason, sample, count, lastMs }) => (
            <li key={`${topic} ${code}`}>
              <p class="list-title">{reason}</p>
              <p class="evidence">
                <code>{topic}</code>
                {`, ${countText(count, 'time', 'times')}, last ${timeText(lastMs)}`}
              </p>
              <details>
                <summary>A sample</summary>
                <pre>{sample}</pre>
              </details>
            </li>
          ))}
        </ul>
      )}
    </section>
  )
}
