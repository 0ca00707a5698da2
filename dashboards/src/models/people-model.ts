import { signal, type ReadonlySignal } from '@preact/signals'
import type { PersonRole } from '../../../services/core/model/ports/accounts.ts'
import { failureSentence, type Answer, type FieldError } from '../api/answer.ts'
import type { PersonView, TellingApi } from '../api/telling-api.ts'

/** A code that is on the screen to be scanned. */
export interface ShownCode {
  readonly person: PersonView
  /** What follows the address of the board; it holds the code. */
  readonly path: string
  /** When it stops working, in ms since 1970 by this device. */
  readonly endsMs: number
}

export interface PeopleModel {
  readonly people: ReadonlySignal<readonly PersonView[] | null>
  readonly code: ReadonlySignal<ShownCode | null>
  readonly trouble: ReadonlySignal<string>
  readonly errors: ReadonlySignal<readonly FieldError[]>
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly add: (given: { name: string; role: PersonRole; password: string }) => Promise<boolean>
  readonly remove: (person: PersonView) => Promise<boolean>
  readonly changeRole: (person: PersonView, role: PersonRole) => Promise<boolean>
  readonly showCode: (person: PersonView) => Promise<void>
  /** Was it used, or did its time run out? Then it goes from the screen. */
  readonly checkCode: () => Promise<void>
  readonly putCodeAway: () => void
  readonly forget: () => void
}

type PeopleApi = Pick<
  TellingApi,
  'people' | 'addPerson' | 'removePerson' | 'changeRole' | 'makeSignInLink' | 'signInLink'
>

export function createPeopleModel(api: PeopleApi, nowMs: () => number): PeopleModel {
  const people = signal<readonly PersonView[] | null>(null)
  const code = signal<ShownCode | null>(null)
  const trouble = signal('')
  const errors = signal<readonly FieldError[]>([])
  const announcement = signal('')

  const note = (answer: Answer<unknown>, done: string): boolean => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    errors.value = answer.ok ? [] : answer.failure.errors
    announcement.value = answer.ok ? done : ''
    return answer.ok
  }
  const load = async (): Promise<void> => {
    const answer = await api.people()
    if (answer.ok) people.value = answer.value.people
    else trouble.value = failureSentence(answer.failure)
  }
  const act = async (asking: Promise<Answer<unknown>>, done: string): Promise<boolean> => {
    const ok = note(await asking, done)
    if (ok) await load()
    return ok
  }
  return {
    people,
    code,
    trouble,
    errors,
    announcement,
    load,
    add: ({ name, role, password }) =>
      act(
        api.addPerson({ name, role, ...(password === '' ? {} : { password }) }),
        `${name.trim()} is added.`,
      ),
    remove: (person) => act(api.removePerson(person.id), `${person.name} can no longer come in.`),
    changeRole: (person, role) => act(api.changeRole(person.id, role), `${person.name} is now ${role}.`),
    showCode: async (person) => {
      const answer = await api.makeSignInLink(person.id)
      if (!note(answer, '') || !answer.ok) return
      code.value = { person, path: answer.value.path, endsMs: nowMs() + answer.value.leftMs }
    },
    checkCode: async () => {
      const shown = code.value
      if (!shown) return
      const answer = await api.signInLink(shown.person.id)
      if (code.value !== shown || !answer.ok) return
      const isOver = nowMs() >= shown.endsMs
      if (answer.value.waiting && !isOver) return
      code.value = null
      announcement.value = isOver
        ? 'The code is too old now. Show a new one.'
        : `The code was used: ${shown.person.name} is signed in there.`
    },
    putCodeAway: () => {
      code.value = null
    },
    forget: () => {
      people.value = code.value = null
      errors.value = []
      trouble.value = announcement.value = ''
    },
  }
}
