import { useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'

/** A new secret, shown this once: it is nowhere else, not even in the monitor. */
export function NodeSecretOnce({ app }: { app: AppModel }) {
  const secret = app.sensors.secret.value
  const [isCopied, setCopied] = useState(false)
  if (!secret) return null
  const copy = async (): Promise<void> => {
    await navigator.clipboard.writeText(secret.secret)
    setCopied(true)
  }
  const putAway = (): void => {
    setCopied(false)
    app.sensors.putSecretAway()
  }
  return (
    <div class="secret" role="group" aria-label={`The secret of ${secret.id}`}>
      <p>
        {`Node name ${secret.id}, with this secret. Write both into the config of the node now: the secret is not shown again.`}
      </p>
      <p>
        <code class="secret-text">{secret.secret}</code>
      </p>
      <p class="buttons">
        {/* Browsers give the clipboard to secure pages alone; elsewhere the text can be marked by hand. */}
        {window.isSecureContext && (
          <button type="button" class="plain strong" onClick={() => void copy()}>
            {isCopied ? 'Copied' : 'Copy the secret'}
          </button>
        )}
        <button type="button" class="plain" onClick={putAway}>
          I have it, put it away
        </button>
      </p>
    </div>
  )
}
