import { hashOf } from '../../../models/route.ts'
import { TapAssign } from '../../sensors/tap-assign.tsx'
import { Waiting } from '../../states.tsx'
import type { StepProps } from './step-parts.tsx'

export function SensorsStep({ app, settings, goOn }: StepProps) {
  const view = app.sensors.view.value
  if (!view) return <Waiting />
  const waiting = view.sensors.filter((s) => !s.assignedTo)
  return (
    <>
      {view.sensors.length === 0 ? (
        <p>
          No sensor has been heard yet.{' '}
          <a href={hashOf({ page: 'setup', part: 'walk', detail: 'node' })}>Start a node first</a>, they then
          appear here by themselves.
        </p>
      ) : waiting.length === 0 ? (
        <p>Every sensor that is heard has its place.</p>
      ) : (
        <p>Tap what each of them is at. What is heard counts from then on.</p>
      )}
      <ul class="list">
        {view.sensors.map((sensor) => (
          <TapAssign key={sensor.id} app={app} sensor={sensor} settings={settings} />
        ))}
      </ul>
      <p class="buttons walk-on">
        <button type="button" class={waiting.length === 0 ? 'do do-calm' : 'plain'} onClick={goOn}>
          {waiting.length === 0 ? 'Go on' : 'Later'}
        </button>
      </p>
    </>
  )
}
