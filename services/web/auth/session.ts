import type { AccountStore, Person } from '../../core/model/ports/accounts.ts'
import { createSecret, sha256 } from './secrets.ts'

export const SESSION_COOKIE = 'nightcap_session'
/** A session ends after 30 days whatever happens, and after 7 days without a request. Starting values. */
export const SESSION_LIFE_MS = 30 * 24 * 3_600_000
export const SESSION_IDLE_MS = 7 * 24 * 3_600_000
/** A request moves "last seen" at most this often, so that reading the board does not write to the disk. */
const TOUCH_EVERY_MS = 5 * 60_000

export interface FoundSession {
  readonly tokenHash: string
  readonly person: Person
}

export interface Sessions {
  /** Opens a session and gives its token: 256 random bits, of which only the SHA-256 is stored. */
  readonly open: (personId: string) => string
  /** Whose session has this token hash, if it is still good? A dead one is removed. */
  readonly find: (tokenHash: string) => FoundSession | null
  readonly end: (tokenHash: string) => void
  readonly endAllOf: (personId: string) => void
}

export function createSessions({
  accounts,
  nowMs,
}: {
  readonly accounts: AccountStore
  readonly nowMs: () => number
}): Sessions {
  return {
    open: (personId) => {
      const token = createSecret()
      const createdMs = nowMs()
      accounts.addSession({
        tokenHash: sha256(token),
        personId,
        createdMs,
        lastSeenMs: createdMs,
        expiresMs: createdMs + SESSION_LIFE_MS,
      })
      return token
    },
    find: (tokenHash) => {
      const session = accounts.session(tokenHash)
      if (!session) return null
      const now = nowMs()
      const person = accounts.person(session.personId)
      const over = now >= session.expiresMs || now - session.lastSeenMs >= SESSION_IDLE_MS
      if (over || !person || person.removedMs !== null) {
        accounts.removeSession(tokenHash)
        return null
      }
      if (now - session.lastSeenMs >= TOUCH_EVERY_MS) accounts.touchSession(tokenHash, now)
      return { tokenHash, person }
    },
    end: accounts.removeSession,
    endAllOf: accounts.removeSessionsOf,
  }
}
