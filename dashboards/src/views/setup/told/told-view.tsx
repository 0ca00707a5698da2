import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../../models/app-model.ts'
import { Announcement, Trouble } from '../../states.tsx'
import { SettingsForm } from '../settings-form.tsx'
import { ContactsForm } from './contacts-form.tsx'
import { DeliveryLog } from './delivery-log.tsx'
import { MailForm } from './mail-form.tsx'
import { MailPassword } from './mail-password.tsx'
import { TellingForm } from './telling-form.tsx'
import { TellingTests } from './telling-tests.tsx'
import { WebhooksForm } from './webhooks-form.tsx'

/** Who is told of what cannot wait, in which order, by which way; and whether it works. */
export function ToldView({ app }: { app: AppModel }) {
  const saved = app.settings.saved.value
  // What was just saved may have changed what stands in the way.
  useEffect(() => void app.telling.load(), [saved])
  useEffect(() => {
    void app.people.load()
    void app.telling.loadDeliveries()
  }, [])
  const { view, trouble, announcement } = app.telling
  return (
    <>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} retry={() => void app.telling.load()} />}
      {view.value && view.value.problems.length > 0 && (
        <ul class="faults" aria-label="What keeps notices from arriving">
          {view.value.problems.map((problem) => (
            <li key={problem}>{problem}</li>
          ))}
        </ul>
      )}
      <SettingsForm app={app}>
        {(part) => (
          <>
            <ContactsForm {...part} people={app.people.people.value ?? []} />
            <TellingForm {...part} />
            <MailForm {...part} />
            <WebhooksForm {...part} />
          </>
        )}
      </SettingsForm>
      <div class="setup told">
        <MailPassword app={app} />
        <TellingTests app={app} />
        <DeliveryLog app={app} />
      </div>
    </>
  )
}
