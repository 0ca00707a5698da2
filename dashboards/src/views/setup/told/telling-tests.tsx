import { useState } from 'preact/hooks'
import type { TellingView } from '../../../api/telling-api.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { countText } from '../../../words/quantity-text.ts'
import { nearTime } from '../../../words/shop-time.ts'

type Told = TellingView['contacts'][number]

/** Does it arrive, and does the answer come back? Asked of the saved contacts, one by one. */
export function TellingTests({ app }: { app: AppModel }) {
  const view = app.telling.view.value
  if (!view || view.contacts.length === 0) return null
  return (
    <section class="part" aria-labelledby="tests-title">
      <h2 id="tests-title">Does it work?</h2>
      <p>
        {view.publicUrl === null
          ? 'Replies cannot reach the shop: it has no address that can be reached from elsewhere. Notices go out, and can be answered on the board alone. Give it one with NIGHTCAP_PUBLIC_URL.'
          : 'To test the way back: on the phone switch Wi-Fi off, so that it uses mobile data, send a test from here, and press "It arrived" on the notice.'}
      </p>
      <ul class="list">
        {view.contacts.map((contact) => (
          <Line key={contact.id} app={app} contact={contact} />
        ))}
      </ul>
    </section>
  )
}

function Line({ app, contact }: { app: AppModel; contact: Told }) {
  const zone = {
    timeZone: app.board.board.value?.site.timeZone ?? 'UTC',
    nowMs: app.clock.quarterMinuteMs.value,
  }
  const proven = contact.replyPathProvenMs
  const secret = app.telling.secret.value
  const hasWebhook = app.settings.saved.value?.contacts.some((c) => c.id === contact.id && c.webhookUrl)
  return (
    <li>
      <p class="list-title">{contact.title}</p>
      <p class="evidence">
        {`${countText(contact.devices.length, 'device takes', 'devices take')} notices. `}
        {proven === null
          ? 'No answer has come back from a test yet.'
          : `An answer came back ${nearTime(proven, zone)}.`}
      </p>
      {secret?.contactId === contact.id && (
        <SecretOnce app={app} secret={secret.secret} title={contact.title} />
      )}
      <p class="buttons">
        <button type="button" class="plain strong" onClick={() => void app.telling.test(contact)}>
          Send a test<span class="only-read">{` to ${contact.title}`}</span>
        </button>
        {hasWebhook && (
          <button type="button" class="plain" onClick={() => void app.telling.makeWebhookSecret(contact.id)}>
            {contact.webhookSecretSet ? 'New webhook secret' : 'Make a webhook secret'}
            <span class="only-read">{` for ${contact.title}`}</span>
          </button>
        )}
      </p>
    </li>
  )
}

function SecretOnce({ app, secret, title }: { app: AppModel; secret: string; title: string }) {
  const [isCopied, setCopied] = useState(false)
  const copy = async (): Promise<void> => {
    await navigator.clipboard.writeText(secret)
    setCopied(true)
  }
  return (
    <div class="secret" role="group" aria-label={`The webhook secret of ${title}`}>
      <p>Whoever receives the webhook checks its signature with this. It is not shown again.</p>
      <p>
        <code class="secret-text">{secret}</code>
      </p>
      <p class="buttons">
        {window.isSecureContext && (
          <button type="button" class="plain strong" onClick={() => void copy()}>
            {isCopied ? 'Copied' : 'Copy the secret'}
          </button>
        )}
        <button type="button" class="plain" onClick={app.telling.putSecretAway}>
          I have it, put it away
        </button>
      </p>
    </div>
  )
}
