import { useEffect, useState } from 'preact/hooks'
import { createSetupApi, type NodeWayIn } from '../../api/setup-api.ts'
import type { NodeSecret } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { CHANNEL_WORDS, nodeLine, wayInWords, type NodeChannel } from '../../models/node-line.ts'
import { NodeHeard } from './node-heard.tsx'
import { CopyButton } from './copy-button.tsx'

const CHANNELS = Object.keys(CHANNEL_WORDS) as NodeChannel[]

/** A new secret, shown this once, the line that starts the node with it, and whether it was heard yet. */
export function NodeStart({ app, secret }: { app: AppModel; secret: NodeSecret }) {
  const [channels, setChannels] = useState<readonly NodeChannel[]>(['air'])
  const [wayIn, setWayIn] = useState<NodeWayIn | null>(null)
  useEffect(() => {
    void createSetupApi(app)
      .wayIn()
      .then((answer) => answer.ok && setWayIn(answer.value))
  }, [])
  const toggle = (channel: NodeChannel, isOn: boolean): void =>
    setChannels(CHANNELS.filter((c) => (c === channel ? isOn : channels.includes(c))))
  const line = wayIn && nodeLine({ ...secret, channels, wayIn, pageHost: location.hostname })
  return (
    <div class="secret" role="group" aria-label={`Start ${secret.id}`}>
      <p>
        {`The node is called ${secret.id}. Its secret is shown this once: `}
        <code class="secret-text">{secret.secret}</code>
      </p>
      <fieldset class="checks">
        <legend>What is wired to it?</legend>
        {CHANNELS.map((channel) => (
          <label key={channel} class="choice">
            <input
              type="checkbox"
              checked={channels.includes(channel)}
              onChange={(event) => toggle(channel, event.currentTarget.checked)}
            />
            {CHANNEL_WORDS[channel]}
          </label>
        ))}
      </fieldset>
      {line && channels.length > 0 && (
        <>
          <p>Paste this line on the node, in the folder of Nightcap, and press Enter:</p>
          <pre class="node-line" tabIndex={0} aria-label="The line to paste">
            <code>{line}</code>
          </pre>
          {wayInWords(wayIn).map((words) => (
            <p key={words} class="hint">
              {words}
            </p>
          ))}
        </>
      )}
      <p class="buttons">
        {line && channels.length > 0 && <CopyButton text={line} label="Copy the line" />}
        <CopyButton text={secret.secret} label="Copy the secret" />
        <button type="button" class="plain" onClick={app.sensors.putSecretAway}>
          I have it, put it away
        </button>
      </p>
      <NodeHeard app={app} nodeId={secret.id} />
    </div>
  )
}
