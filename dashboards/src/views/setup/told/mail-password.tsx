import { useState } from 'preact/hooks'
import type { AppModel } from '../../../models/app-model.ts'
import { describedBy, Field } from '../../field.tsx'

const ID = 'mail-password'

/** Set on its own and never shown again: the page knows only whether there is one. */
export function MailPassword({ app }: { app: AppModel }) {
  const [password, setPassword] = useState('')
  const mail = app.telling.view.value?.mail
  if (!mail?.configured) return null
  const hint = mail.passwordSet
    ? 'Set. It is kept sealed and never shown; a new one takes its place.'
    : 'Not set. It is kept sealed and never shown again.'
  const fault = app.telling.passwordFault.value
  return (
    <section class="part" aria-labelledby="mail-password-title">
      <h2 id="mail-password-title">Password of the mail server</h2>
      <form
        class="allow"
        onSubmit={(event) => {
          event.preventDefault()
          void app.telling.setMailPassword(password).then((ok) => ok && setPassword(''))
        }}
      >
        <Field label={mail.passwordSet ? 'New password' : 'Password'} id={ID} hint={hint} fault={fault}>
          <input
            id={ID}
            type="password"
            autocomplete="new-password"
            required
            maxLength={500}
            value={password}
            aria-invalid={fault !== ''}
            aria-describedby={describedBy(ID, { hint, fault })}
            onInput={(event) => setPassword(event.currentTarget.value)}
          />
        </Field>
        <p class="buttons">
          <button type="submit" class="do do-calm">
            Set the password
          </button>
        </p>
      </form>
    </section>
  )
}
