import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { Permission } from '../../../services/core/model/permissions.ts'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { Session, ShopApi, SignedIn } from '../api/shop-api.ts'
import type { Invitation } from './route.ts'

export interface SessionModel {
  /** null until the server has answered for the first time. */
  readonly session: ReadonlySignal<Session | null>
  readonly may: (permission: Permission) => boolean
  /** What went wrong last, as a sentence with the cure; empty when nothing did. */
  readonly trouble: ReadonlySignal<string>
  readonly busy: ReadonlySignal<boolean>
  readonly load: () => Promise<void>
  readonly signIn: (name: string, password: string) => Promise<void>
  readonly accept: (invitation: Invitation, given: { name: string; password: string }) => Promise<void>
  /** What went wrong was read. */
  readonly readTrouble: () => void
  readonly signOut: () => Promise<void>
  /** The server no longer knows this session. */
  readonly ended: () => void
}

type SessionApi = Pick<ShopApi, 'session' | 'signIn' | 'signInByLink' | 'createFirstOwner' | 'signOut'>

export function createSessionModel(api: SessionApi): SessionModel {
  const session = signal<Session | null>(null)
  const trouble = signal('')
  const busy = signal(false)
  const permissions = computed(() => (session.value?.signedIn ? session.value.permissions : []))

  const enter = async (asking: Promise<Answer<SignedIn>>): Promise<void> => {
    busy.value = true
    const answer = await asking
    busy.value = false
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (answer.ok) session.value = answer.value
  }
  return {
    session,
    trouble,
    busy,
    may: (permission) => permissions.value.includes(permission),
    load: async () => {
      const answer = await api.session()
      trouble.value = answer.ok ? '' : failureSentence(answer.failure)
      if (answer.ok) session.value = answer.value
    },
    signIn: (name, password) => enter(api.signIn({ name, password })),
    accept: async ({ kind, code }, given) => {
      await enter(kind === 'firstOwner' ? api.createFirstOwner({ code, ...given }) : api.signInByLink(code))
      // A link that no longer works ends nobody's session, and whoever opened it is told who is in.
      const now = session.value
      if (trouble.value && now?.signedIn)
        trouble.value = `${trouble.value} On this device ${now.person.name} is signed in, as before.`
    },
    readTrouble: () => {
      trouble.value = ''
    },
    signOut: async () => {
      const answer = await api.signOut()
      trouble.value = answer.ok ? '' : failureSentence(answer.failure)
      if (answer.ok) session.value = { signedIn: false, firstOwnerNeeded: false }
    },
    ended: () => {
      if (session.value?.signedIn) trouble.value = 'You were signed out. Sign in again to go on.'
      session.value = { signedIn: false, firstOwnerNeeded: false }
    },
  }
}
