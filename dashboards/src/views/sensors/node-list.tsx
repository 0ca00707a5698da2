import { useState } from 'preact/hooks'
import { createSetupApi } from '../../api/setup-api.ts'
import type { SensorsView as View } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { countText } from '../../words/quantity-text.ts'
import { AddNode } from './add-node.tsx'
import { NodeStart } from './node-start.tsx'

type Node = View['nodes'][number]

interface NodeProps {
  readonly app: AppModel
  readonly view: View
  readonly timeText: (atMs: number) => string
}

/** The small computers that sensors hang on, and their secrets. */
export function NodeList({ app, view, timeText }: NodeProps) {
  const mayManage = app.session.may('manageNodes')
  const secret = app.sensors.secret.value
  return (
    <section aria-labelledby="nodes">
      <h2 id="nodes">Nodes</h2>
      {secret && <NodeStart key={secret.secret} app={app} secret={secret} />}
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
              {mayManage && <NodeButtons app={app} node={node} />}
            </div>
          </li>
        ))}
      </ul>
      {mayManage && <AddNode app={app} />}
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

type Asking = 'replace' | 'revoke' | 'remove'

const ASKED: Readonly<Record<Asking, { words: (name: string) => string; go: string }>> = {
  replace: { words: () => 'The old secret stops working at once.', go: 'Make a new one' },
  revoke: { words: (name) => `${name} can then no longer send.`, go: 'Take it away' },
  remove: {
    words: (name) => `${name} goes with its secret and the places of its sensors. What it measured stays.`,
    go: 'Remove it',
  },
}

/** What cuts a node off is asked once more in place. */
function NodeButtons({ app, node }: { app: AppModel; node: Node }) {
  const [asking, setAsking] = useState<Asking | null>(null)
  const name = node.title ?? node.id
  const go = async (): Promise<void> => {
    if (asking === 'replace') await app.sensors.replaceSecret(node.id)
    if (asking === 'revoke') await app.sensors.revokeSecret(node.id)
    if (asking === 'remove') await app.sensors.run(createSetupApi(app).removeNode(node.id), `${name} is removed.`)
    setAsking(null)
  } // prettier-ignore
  if (asking) {
    return (
      <p class="buttons">
        <span>{ASKED[asking].words(name)}</span>
        <button type="button" class="plain strong" onClick={() => void go()}>
          {ASKED[asking].go}
        </button>
        <button type="button" class="plain" onClick={() => setAsking(null)}>
          Leave it
        </button>
      </p>
    )
  }
  const ask = (what: Asking, label: string, of: string) => (
    <button type="button" class="plain" onClick={() => setAsking(what)}>
      {label}
      <span class="only-read">{` ${of} ${name}`}</span>
    </button>
  )
  return (
    <p class="buttons">
      {ask('replace', 'New secret', 'for')}
      {node.hasSecret && ask('revoke', 'Take the secret away', 'from')}
      {ask('remove', 'Remove', 'the node')}
    </p>
  )
}
