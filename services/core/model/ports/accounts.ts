import type { Role } from '../permissions.ts'

export type PersonRole = Exclude<Role, 'program' | 'node'>

export interface Person {
  readonly id: string
  readonly name: string
  readonly role: PersonRole
  readonly createdMs: number
  readonly removedMs: number | null
}

export interface Session {
  readonly tokenHash: string
  readonly personId: string
  readonly createdMs: number
  readonly lastSeenMs: number
  readonly expiresMs: number
}

/** A one-time way in: the first owner's code, or a sign-in link. Only its SHA-256 is kept. */
export interface SignInCode {
  readonly codeHash: string
  readonly purpose: 'firstOwner' | 'signIn'
  readonly personId: string | null
  readonly expiresMs: number
}

/** A secret of a node, a foreign device, a program or a calendar feed. Only its SHA-256 is kept; 256 random bits need no slow hash. */
export interface Credential {
  readonly id: string
  readonly kind: 'node' | 'program' | 'calendar'
  readonly title: string
  readonly secretHash: string
  readonly createdMs: number
  readonly revokedMs: number | null
}

/** Who may come in. Kept in the same file as the book of record, in tables of their own. */
export interface AccountStore {
  people: () => readonly Person[]
  person: (id: string) => Person | null
  personByName: (name: string) => Person | null
  /** AC-1: names are unique without regard to case, of any alphabet; a second is refused with AccountTakenError. */
  addPerson: (person: Omit<Person, 'removedMs'> & { passwordHash: string }) => void
  passwordHash: (personId: string) => string | null
  setPasswordHash: (personId: string, passwordHash: string) => void
  /** AC-6: another role, from now on; a removed person keeps the last. */
  setRole: (personId: string, role: PersonRole) => void
  /** AC-2: a removed person keeps the id in old acts, and loses name, password and sessions. */
  removePerson: (personId: string, atMs: number) => void
  /** AC-5: a session holds until it is removed; whether it has expired is for the caller to judge. */
  addSession: (session: Session) => void
  session: (tokenHash: string) => Session | null
  touchSession: (tokenHash: string, lastSeenMs: number) => void
  removeSession: (tokenHash: string) => void
  removeSessionsOf: (personId: string) => void
  addSignInCode: (code: SignInCode) => void
  /** AC-3: takes the code out, so that it works once; null if unknown, used or expired at `atMs`. */
  takeSignInCode: (codeHash: string, atMs: number) => SignInCode | null
  /** AC-7: is there a code of this person that still works at `atMs`? */
  hasSignInCode: (personId: string, atMs: number) => boolean
  /** AC-7: no code of this person works any more; those of others do. */
  dropSignInCodesOf: (personId: string) => void
  dropSignInCodes: (purpose: SignInCode['purpose']) => void
  /** AC-4: a credential of an id that has one replaces it. */
  putCredential: (credential: Omit<Credential, 'revokedMs'>) => void
  credential: (kind: Credential['kind'], id: string) => Credential | null
  /** Revoked ones too: whoever lets somebody in asks for `revokedMs`. */
  credentialByHash: (kind: Credential['kind'], secretHash: string) => Credential | null
  credentials: (kind: Credential['kind']) => readonly Credential[]
  revokeCredential: (kind: Credential['kind'], id: string, atMs: number) => void
}
