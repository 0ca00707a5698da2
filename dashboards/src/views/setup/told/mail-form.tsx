import type { Mail } from '../../../../../services/core/model/mail.ts'
import { withMail, withoutMail } from '../../../models/settings-edits.ts'
import type { FormPart } from '../form-parts.ts'
import { NumberInput, SelectInput, TextInput } from '../inputs.tsx'

const SECURITIES: readonly { readonly value: Mail['security']; readonly label: string }[] = [
  { value: 'startTls', label: 'StartTLS (often port 587)' },
  { value: 'tls', label: 'TLS from the start (often port 465)' },
  { value: 'none', label: 'None: a mail server on this computer alone' },
]

/** How mail leaves the house. The password is no setting: it is kept sealed and set on its own. */
export function MailForm(part: FormPart) {
  const { settings, readOnly, change } = part
  return (
    <fieldset class="part">
      <legend>Mail server</legend>
      <p class="hint">
        Mail to those who are told leaves by this server. Whoever gives you your mail address tells you these.
      </p>
      {settings.mail ? (
        <MailFields {...part} mail={settings.mail} />
      ) : (
        <p>No mail leaves the shop: no mail server is set.</p>
      )}
      {!readOnly && (
        <p class="buttons">
          <button
            type="button"
            class="plain strong"
            onClick={() => change((s) => (s.mail ? withoutMail(s) : withMail(s, {})))}
          >
            {settings.mail ? 'Send no mail any more' : 'Set a mail server'}
          </button>
        </p>
      )}
    </fieldset>
  )
}

function MailFields({ mail, errors, readOnly, change }: FormPart & { readonly mail: Mail }) {
  const field = { errors, readOnly }
  const set = (update: Partial<Mail>): void => change((s) => withMail(s, update))
  return (
    <div class="fields">
      <TextInput
        {...field}
        label="Server"
        hint="Such as mail.example.org"
        pointer="/mail/host"
        value={mail.host}
        set={(host) => set({ host: host.trim() })}
      />
      <NumberInput
        {...field}
        label="Port"
        pointer="/mail/port"
        step={1}
        value={mail.port}
        set={(port) => set({ port })}
      />
      <SelectInput
        {...field}
        label="Encryption"
        pointer="/mail/security"
        value={mail.security}
        options={SECURITIES}
        set={(value) => set({ security: SECURITIES.find((s) => s.value === value)?.value ?? 'startTls' })}
      />
      <TextInput
        {...field}
        label="User name"
        hint="May stay empty where the server asks for none."
        pointer="/mail/user"
        value={mail.user ?? ''}
        set={(user) => set({ user })}
      />
      <TextInput
        {...field}
        label="Mail comes from"
        hint="The address that stands as the sender."
        pointer="/mail/from"
        value={mail.from}
        set={(from) => set({ from: from.trim() })}
      />
    </div>
  )
}
