import type { Contact } from '../../../../../services/core/model/contact.ts'
import type { PersonView } from '../../../api/telling-api.ts'
import { addContact, movedItem, withItem, withoutItem } from '../../../models/settings-edits.ts'
import { AddByTitle } from '../add-by-title.tsx'
import type { FormPart } from '../form-parts.ts'
import { SelectInput, TextInput } from '../inputs.tsx'

const TIMES: readonly { readonly value: Contact['times']; readonly label: string }[] = [
  { value: 'always', label: 'At any hour' },
  { value: 'openHours', label: 'While the shop is open' },
  { value: 'closedHours', label: 'While the shop is closed' },
]
const NOBODY = ''

type ContactsProps = FormPart & { readonly people: readonly PersonView[] }

/** Those who are told, in the order in which they are asked. */
export function ContactsForm({ people, ...part }: ContactsProps) {
  const { settings, readOnly, change } = part
  return (
    <fieldset class="part">
      <legend>Who is told</legend>
      <p class="hint">
        The first is asked first. Whoever stands next is asked when nobody before has answered.
      </p>
      <ol>
        {settings.contacts.map((contact, at) => (
          <ContactItem key={contact.id} {...part} people={people} contact={contact} at={at} />
        ))}
      </ol>
      {settings.contacts.length === 0 && (
        <p class="fault">Nobody is told yet: at night the board alone would know.</p>
      )}
      {!readOnly && (
        <AddByTitle
          id="add-contact"
          label="Add somebody who is told"
          placeholder="Mira, at night"
          button="Add them"
          add={(title) => change((s) => addContact(s, title))}
        />
      )}
    </fieldset>
  )
}

function ContactItem({ people, contact, at, ...part }: ContactsProps & { contact: Contact; at: number }) {
  const { settings, errors, readOnly, change } = part
  const set = (update: Partial<Contact>): void =>
    change((s) => ({ ...s, contacts: withItem(s.contacts, at, update) }))
  const field = { errors, readOnly }
  const pointer = `/contacts/${at}`
  return (
    <li class="thing">
      <p class="contact-place">{`${at + 1}. ${contact.title}`}</p>
      <div class="fields">
        <TextInput
          {...field}
          label="Name"
          pointer={`${pointer}/title`}
          value={contact.title}
          set={(title) => set({ title })}
        />
        <SelectInput
          {...field}
          label="Signs in as"
          hint="Notices go to the devices of this person, and answers count as theirs."
          pointer={`${pointer}/personId`}
          value={contact.personId ?? NOBODY}
          options={[
            { value: NOBODY, label: 'Nobody: by mail or webhook alone' },
            ...people.map(({ id, name }) => ({ value: id, label: name })),
          ]}
          set={(id) =>
            change((s) => ({ ...s, contacts: withText(s.contacts, { at, key: 'personId', text: id }) }))
          }
        />
        <SelectInput
          {...field}
          label="When"
          pointer={`${pointer}/times`}
          value={contact.times}
          options={TIMES}
          set={(times) => set({ times: TIMES.find((t) => t.value === times)?.value ?? 'always' })}
        />
        <TextInput
          {...field}
          label="Mail"
          hint="May stay empty."
          pointer={`${pointer}/mail`}
          value={contact.mail ?? ''}
          set={(text) => change((s) => ({ ...s, contacts: withText(s.contacts, { at, key: 'mail', text }) }))}
        />
        <TextInput
          {...field}
          label="Webhook"
          hint="An address that begins with https; may stay empty."
          pointer={`${pointer}/webhookUrl`}
          value={contact.webhookUrl ?? ''}
          set={(text) =>
            change((s) => ({ ...s, contacts: withText(s.contacts, { at, key: 'webhookUrl', text }) }))
          }
        />
        <Gets contact={contact} readOnly={readOnly} set={set} />
      </div>
      {!readOnly && (
        <p class="buttons">
          <button
            type="button"
            class="plain"
            disabled={at === 0}
            onClick={() => change((s) => ({ ...s, contacts: movedItem(s.contacts, at, at - 1) }))}
          >
            Ask earlier<span class="only-read">{`: ${contact.title}`}</span>
          </button>
          <button
            type="button"
            class="plain"
            disabled={at === settings.contacts.length - 1}
            onClick={() => change((s) => ({ ...s, contacts: movedItem(s.contacts, at, at + 1) }))}
          >
            Ask later<span class="only-read">{`: ${contact.title}`}</span>
          </button>
          <button
            type="button"
            class="plain"
            onClick={() => change((s) => ({ ...s, contacts: withoutItem(s.contacts, at) }))}
          >
            Remove<span class="only-read">{` ${contact.title}`}</span>
          </button>
        </p>
      )}
    </li>
  )
}

function Gets({
  contact,
  readOnly,
  set,
}: {
  contact: Contact
  readOnly: boolean
  set: (update: Partial<Contact>) => void
}) {
  const box = (key: 'push' | 'morningReport' | 'closingReminder', label: string) => (
    <label>
      <input
        type="checkbox"
        checked={contact[key]}
        disabled={readOnly}
        onChange={(event) => set({ [key]: event.currentTarget.checked })}
      />
      {label}
    </label>
  )
  return (
    <fieldset class="checks">
      <legend>Gets</legend>
      {box('push', 'Notices on their devices')}
      {box('morningReport', 'The morning report')}
      {box('closingReminder', 'A reminder of the closing list')}
    </fieldset>
  )
}

/** A text that may stay empty: left out of the settings then, since an empty one is no mail address. */
function withText(
  contacts: readonly Contact[],
  { at, key, text }: { at: number; key: 'personId' | 'mail' | 'webhookUrl'; text: string },
): Contact[] {
  return contacts.map((contact, i) => {
    if (i !== at) return contact
    const rest = { ...contact }
    delete rest[key]
    return text.trim() === '' ? rest : { ...rest, [key]: text.trim() }
  })
}
