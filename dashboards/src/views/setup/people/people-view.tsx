import { useEffect, useState } from 'preact/hooks'
import type { PersonRole } from '../../../../../services/core/model/ports/accounts.ts'
import type { PersonView } from '../../../api/telling-api.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { faultAt } from '../../../models/settings-edits.ts'
import { describedBy, Field } from '../../field.tsx'
import { Announcement, Trouble, Waiting } from '../../states.tsx'
import { CodeToScan } from './code-to-scan.tsx'

const ROLE_WORDS: Readonly<Record<PersonRole, string>> = {
  owner: 'Owner: may do all',
  operator: 'Operator: runs the machines',
  technician: 'Technician: repairs, limits, sensors',
  viewer: 'Viewer: a screen on the wall',
}
const ROLES = Object.keys(ROLE_WORDS) as PersonRole[]

/** Who may come in, as what, and by which way. */
export function PeopleView({ app }: { app: AppModel }) {
  const { people, trouble, announcement, code } = app.people
  useEffect(() => {
    void app.people.load()
    return app.people.putCodeAway
  }, [])
  if (!people.value) return trouble.value ? <Trouble text={trouble.value} /> : <Waiting />
  return (
    <section class="setup" aria-labelledby="people-title">
      <h2 id="people-title">People</h2>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {code.value && <CodeToScan key={code.value.path} app={app} code={code.value} />}
      <ul class="list">
        {people.value.map((person) => (
          <Person key={person.id} app={app} person={person} />
        ))}
      </ul>
      <AddPerson app={app} />
    </section>
  )
}

function Person({ app, person }: { app: AppModel; person: PersonView }) {
  const [isAsking, setAsking] = useState(false)
  const { name, role } = person
  const of = <span class="only-read">{` for ${name}`}</span>
  return (
    <li>
      <div class="list-row">
        <p class="list-title">{name}</p>
        <RoleChoice
          id={`role-${person.id}`}
          label={`Role of ${name}`}
          role={role}
          set={(next) => void app.people.changeRole(person, next)}
        />
      </div>
      {isAsking ? (
        <p class="buttons">
          <span>{`${name} can then no longer come in. What ${name} did stays.`}</span>
          <button type="button" class="plain strong" onClick={() => void app.people.remove(person)}>
            Remove {name}
          </button>
          <button type="button" class="plain" onClick={() => setAsking(false)}>
            Leave it
          </button>
        </p>
      ) : (
        <p class="buttons">
          <button type="button" class="plain strong" onClick={() => void app.people.showCode(person)}>
            Show code for a phone{of}
          </button>
          <button type="button" class="plain" onClick={() => setAsking(true)}>
            Remove<span class="only-read">{` ${name}`}</span>
          </button>
        </p>
      )}
    </li>
  )
}

function RoleChoice({
  id,
  label,
  role,
  set,
}: {
  id: string
  label: string
  role: PersonRole
  set: (role: PersonRole) => void
}) {
  return (
    <select
      id={id}
      aria-label={label}
      value={role}
      onChange={(event) => {
        const next = ROLES.find((r) => r === event.currentTarget.value)
        if (next) set(next)
      }}
    >
      {ROLES.map((one) => (
        <option key={one} value={one}>
          {ROLE_WORDS[one]}
        </option>
      ))}
    </select>
  )
}

function AddPerson({ app }: { app: AppModel }) {
  const [name, setName] = useState('')
  const [role, setRole] = useState<PersonRole>('operator')
  const [password, setPassword] = useState('')
  const errors = app.people.errors.value
  const faults = { name: faultAt(errors, '/name'), password: faultAt(errors, '/password') }
  const hint = 'May stay empty: then they come in by a code to scan. Else at least 10 characters.'
  const add = async (): Promise<void> => {
    if (!(await app.people.add({ name, role, password }))) return
    setName('')
    setPassword('')
  }
  return (
    <form
      class="inline-form add-person"
      aria-label="Add a person"
      onSubmit={(event) => {
        event.preventDefault()
        void add()
      }}
    >
      <Field label="Add a person, by name" id="person-name" fault={faults.name}>
        <input
          id="person-name"
          required
          maxLength={80}
          autocomplete="off"
          value={name}
          aria-describedby={describedBy('person-name', { fault: faults.name })}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </Field>
      <Field label="As" id="person-role">
        <RoleChoice id="person-role" label="As" role={role} set={setRole} />
      </Field>
      <Field label="First password" id="person-password" hint={hint} fault={faults.password}>
        <input
          id="person-password"
          type="password"
          maxLength={200}
          autocomplete="new-password"
          value={password}
          aria-describedby={describedBy('person-password', { hint, fault: faults.password })}
          onInput={(event) => setPassword(event.currentTarget.value)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm">
          Add the person
        </button>
      </p>
    </form>
  )
}
