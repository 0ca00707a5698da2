import { addContact } from '../../../models/settings-edits.ts'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import { hashOf } from '../../../models/route.ts'
import { saveStep } from '../../../models/save-step.ts'
import { StepForm, type StepProps } from './step-parts.tsx'

/** The first contact is whoever sets up; all else about telling has a page of its own. */
export function ToldStep({ app, settings, goOn }: StepProps) {
  const session = app.session.session.value
  const me = session?.signedIn ? session.person : null
  const isThere = settings.contacts.length > 0
  const send = (): void => {
    if (isThere || !me) goOn()
    else void saveStep(app, (s) => withMe(s, me), goOn)
  }
  return (
    <StepForm
      busy={app.settings.busy.value}
      send={send}
      word={isThere ? 'Go on' : `Ask me first${me ? `, ${me.name}` : ''}`}
      skip={isThere ? undefined : goOn}
    >
      {isThere ? (
        <p>{`Asked in this order: ${settings.contacts.map((c) => c.title).join(', ')}.`}</p>
      ) : (
        <p>
          What cannot wait until morning goes to somebody's phone. Who else is asked, mail, and a test for
          each way stand on the page <a href={hashOf({ page: 'setup', part: 'told' })}>Who is told</a>.
        </p>
      )}
    </StepForm>
  )
}

function withMe(settings: Settings, { id, name }: { id: string; name: string }): Settings {
  const next = addContact(settings, name)
  const last = next.contacts.length - 1
  return { ...next, contacts: next.contacts.map((c, at) => (at === last ? { ...c, personId: id } : c)) }
}
