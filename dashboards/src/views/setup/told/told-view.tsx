import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../../models/app-model.ts'
import { Announcement, Trouble } from '../../states.tsx'
import { SettingsForm } from '../settings-form.tsx'
import { ContactsForm } from './contacts-form.tsx'
import { TellingForm } from './telling-form.tsx'
import { TellingTests } from './telling-tests.tsx'

/** Who is told of what cannot wait, in which order, by which way; and whether it works. */
export function ToldView({ app }: { app: AppModel }) {
  useEffect(() => {
    void app.telling.load()
    void app.people.load()
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
          </>
        )}
      </SettingsForm>
      <TellingTests app={app} />
    </>
  )
}
