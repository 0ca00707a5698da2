import { describedBy } from '../../field.tsx'
import type { FormPart } from '../form-parts.ts'

const ID = 'allow-private-webhooks'
const HINT =
  "Then whoever may change this page can make Nightcap call any device in the shop's network, the router too. Leave it off unless a webhook goes to a computer of your own there."

/** Where webhooks may go. */
export function WebhooksForm({ settings, readOnly, change }: FormPart) {
  return (
    <fieldset class="part">
      <legend>Webhooks</legend>
      <div class="checks">
        <label for={ID}>
          <input
            id={ID}
            type="checkbox"
            checked={settings.telling.allowPrivateWebhooks}
            disabled={readOnly}
            aria-describedby={describedBy(ID, { hint: HINT })}
            onChange={(event) => {
              const allowPrivateWebhooks = event.currentTarget.checked
              change((s) => ({ ...s, telling: { ...s.telling, allowPrivateWebhooks } }))
            }}
          />
          A webhook may go to an address within the shop's own network
        </label>
      </div>
      <p class="hint" id={`${ID}-hint`}>
        {HINT}
      </p>
    </fieldset>
  )
}
