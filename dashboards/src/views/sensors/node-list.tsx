import { useState } from 'preact/hooks'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { nameFromTitle } from '../../models/name-from-title.ts'
import { countText } from '../../words/quantity-text.ts'
import { Field } from '../field.tsx'
import { NodeSecretOnce } from './node-secret.tsx'

type Node = View['nodes'][number]

interface NodeProps {
  readonly app: AppModel
  readonly view: View
  readonly timeText: (atMs: number) => string
}

/** The small computers that sensors hang on, and their secrets. */
export function NodeList({ app, view, timeText }: NodeProps) {
  const mayManage = app.session.may('manageNodes')
  return (
    <section aria-labelledby="nodes">
      <h2 id="nodes">Nodes</h2>
      <NodeSecretOnce app={app} />
      <ul class="list">
        {view.nodes.map((node) => (
          <li key={node.id}>
            <div class="list-row">
              <div>
                <p class="list-title">
                  {node.title ?? node.id}
                  {node.title && <code class="aside">{node.id}</code>}
                </p>
                <p class="evidence">{nodeWords(node, timeText)}</p>
              </div>
              {mayManage && <SecretButtons app={app} node={node} />}
            </div>
          </li>
        ))}
      </ul>
      {mayManage && <AddNode app={app} taken={view.nodes.map((n) => n.id)} />}
    </section>
  )
}

function nodeWords(
  { online, lastReceivedMs, missingPacks, droppedPacks, hasSecret }: Node,
  timeText: (atMs: number) => string,
): string {
  const parts = [
    online === null ? 'Not seen yet' : online ? 'Online' : 'Offline',
    ...(lastReceivedMs === null ? [] : [`last heard ${timeText(lastReceivedMs)}`]),
    ...(missingPacks > 0 ? [`${countText(missingPacks, 'pack', 'packs')} missing`] : []),
    ...(droppedPacks > 0 ? [`${countText(droppedPacks, 'pack', 'packs')} dropped by the node itself`] : []),
    ...(hasSecret ? [] : ['no secret, so it cannot sign in']),
  ]
  return `${parts.join(', ')}.`
}

/** A new secret cuts the old one off, so it is asked once more in place. */
function SecretButtons({ app, node }: { app: AppModel; node: Node }) {
  const [asking, setAsking] = useState<'replace' | 'revoke' | null>(null)
  const name = node.title ?? node.id
  const go = async (): Promise<void> => {
    await (asking === 'revoke' ? app.sensors.revokeSecret(node.id) : app.sensors.replaceSecret(node.id))
    setAsking(null)
  }
  if (asking) {
    return (
      <p class="buttons">
        <span>
          {asking === 'revoke' ? `${name} can then no longer send.` : 'The old secret stops working at once.'}
        </span>
        <button type="button" class="plain strong" onClick={() => void go()}>
          {asking === 'revoke' ? 'Take it away' : 'Make a new one'}
        </button>
        <button type="button" class="plain" onClick={() => setAsking(null)}>
          Leave it
        </button>
      </p>
    )
  }
  return (
    <p class="buttons">
      <button type="button" class="plain" onClick={() => setAsking('replace')}>
        New secret<span class="only-read">{` for ${name}`}</span>
      </button>
      {node.hasSecret && (
        <button type="button" class="plain" onClick={() => setAsking('revoke')}>
          Take the secret away<span class="only-read">{` from ${name}`}</span>
        </button>
      )}
    </p>
  )
}

function AddNode({ app, taken }: { app: AppModel; taken: readonly string[] }) {
  const [title, setTitle] = useState('')
  const add = async (): Promise<void> => {
    const id = nameFromTitle(title, { taken, fallback: 'sensor-node' })
    if (await app.sensors.addNode({ id, title: title.trim() })) setTitle('')
  }
  return (
    <form
      class="inline-form"
      onSubmit={(event) => {
        event.preventDefault()
        void add()
      }}
    >
      <Field label="Add a node: where does it stand?" id="node-title">
        <input
          id="node-title"
          required
          maxLength={80}
          placeholder="Print floor, left wall"
          value={title}
          onInput={(event) => setTitle(event.currentTarget.value)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm">
          Add the node
        </button>
      </p>
    </form>
  )
}
