import { AddNode } from '../../sensors/add-node.tsx'
import { NodeStart } from '../../sensors/node-start.tsx'
import type { StepProps } from './step-parts.tsx'

export function NodeStep({ app, goOn }: StepProps) {
  const view = app.sensors.view.value
  const secret = app.sensors.secret.value
  const isHeard = (view?.sensors.length ?? 0) > 0
  return (
    <>
      <p>
        A node is a small Linux computer beside the machine, with sensors on it. Nightcap&apos;s folder must
        be on it too; there run <code>npm ci</code> and then <code>npm run build</code>, once.
      </p>
      {secret ? <NodeStart app={app} secret={secret} /> : <AddNode app={app} />}
      <p class="buttons walk-on">
        {isHeard && (
          <button type="button" class="do do-calm" onClick={goOn}>
            Go on to its sensors
          </button>
        )}
        {!isHeard && (
          <button type="button" class="plain" onClick={goOn}>
            Later
          </button>
        )}
      </p>
    </>
  )
}
