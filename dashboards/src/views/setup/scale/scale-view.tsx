import type { Settings } from '../../../../../services/core/model/settings.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { hashOf } from '../../../models/route.ts'
import { Waiting } from '../../states.tsx'
import { Retare } from './retare.tsx'
import { ScaleWalkView } from './scale-walk-view.tsx'

/** Which bottle; and then the walk through its calibration. */
export function ScaleView({ app, bottleId }: { app: AppModel; bottleId?: string | undefined }) {
  const settings = app.settings.saved.value
  if (!settings) return <Waiting />
  const bottle = settings.bottles.find((b) => b.id === bottleId)
  const sensor = bottle && scaleOf(bottle.id, settings)
  if (bottle && sensor && app.session.may('changeSettings'))
    return <ScaleWalkView key={bottle.id} app={app} bottle={bottle} sensor={sensor} />
  if (settings.bottles.length === 0) return <p class="hint">Add a bottle first, under All settings.</p>
  return (
    <ul class="list">
      {settings.bottles.map(({ id, title }) => (
        <li key={id}>
          <p class="list-title">{title}</p>
          <ScaleLine settings={settings} id={id} title={title} app={app} />
          <Retare app={app} bottleId={id} />
        </li>
      ))}
    </ul>
  )
}

export function scaleOf(bottleId: string, settings: Settings) {
  return settings.sensors.find(
    (s) => s.quantity === 'mass' && s.subject.kind === 'bottle' && s.subject.id === bottleId,
  )
}

function ScaleLine({
  app,
  settings,
  id,
  title,
}: {
  app: AppModel
  settings: Settings
  id: string
  title: string
}) {
  const sensor = scaleOf(id, settings)
  if (!sensor)
    return (
      <p class="hint">
        No scale belongs to it yet. <a href="#/sensors">Assign one under Sensors</a>.
      </p>
    )
  const stored = app.sensors.view.value?.sensors.find((s) => s.id === sensor.id)?.lastValue ?? null
  const value = app.sensors.latest.value.get(sensor.id)?.value ?? stored
  return (
    <>
      <p class="evidence">
        {value === null ? 'Its scale was not heard yet.' : `Its scale reads ${value.toFixed(3)}\u00A0kg.`}
      </p>
      {app.session.may('changeSettings') && (
        <p>
          <a href={hashOf({ page: 'setup', part: 'scale', detail: id })}>
            Calibrate it<span class="only-read">{`: ${title}`}</span>
          </a>
        </p>
      )}
    </>
  )
}
