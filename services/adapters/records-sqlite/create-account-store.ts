import type { Database } from 'better-sqlite3'
import type {
  AccountStore,
  Credential,
  Person,
  Session,
  SignInCode,
} from '../../core/model/ports/accounts.ts'

/** A person of this name is already there. */
export class AccountTakenError extends Error {
  override readonly name = 'AccountTakenError'
  readonly code = 'ACCOUNT_TAKEN'
}

/** What two names have in common when they differ by case alone. SQLite's own NOCASE knows only the letters of ASCII. */
function nameKey(name: string): string {
  return name.trim().normalize('NFC').toUpperCase().toLowerCase()
}

/** People, sessions, sign-in codes and credentials, in the same database. Only hashes of secrets are kept. */
export function createSqliteAccountStore({ db }: { db: Database }): AccountStore {
  return { ...peopleMethods(db), ...sessionMethods(db), ...codeMethods(db), ...credentialMethods(db) }
}

function peopleMethods(
  db: Database,
): Pick<
  AccountStore,
  | 'people'
  | 'person'
  | 'personByName'
  | 'addPerson'
  | 'passwordHash'
  | 'setPasswordHash'
  | 'setRole'
  | 'removePerson'
> {
  const columns = 'id, name, role, created_ms AS createdMs, removed_ms AS removedMs'
  const all = db.prepare<[], Person>(`SELECT ${columns} FROM person ORDER BY created_ms, id`)
  const byId = db.prepare<[string], Person>(`SELECT ${columns} FROM person WHERE id = ?`)
  const byName = db.prepare<[string], Person>(`SELECT ${columns} FROM person WHERE name_key = ?`)
  const insert = db.prepare<[string, string, string, string, string, number]>(
    'INSERT INTO person (id, name, name_key, role, password_hash, created_ms) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const hash = db.prepare<[string], { hash: string | null }>(
    'SELECT password_hash AS hash FROM person WHERE id = ?',
  )
  const setHash = db.prepare<[string, string]>(
    'UPDATE person SET password_hash = ? WHERE id = ? AND removed_ms IS NULL',
  )
  const setRole = db.prepare<[string, string]>(
    'UPDATE person SET role = ? WHERE id = ? AND removed_ms IS NULL',
  )
  const remove = db.prepare<[number, string]>(
    `UPDATE person SET removed_ms = ?, name = '', name_key = NULL, password_hash = NULL WHERE id = ? AND removed_ms IS NULL`,
  )
  const dropSessions = db.prepare<[string]>('DELETE FROM session WHERE person_id = ?')
  const dropCodes = db.prepare<[string]>('DELETE FROM sign_in_code WHERE person_id = ?')
  const removeAll = db.transaction((personId: string, atMs: number) => {
    remove.run(atMs, personId)
    dropSessions.run(personId)
    dropCodes.run(personId)
  })
  return {
    people: () => all.all(),
    person: (id) => byId.get(id) ?? null,
    personByName: (name) => byName.get(nameKey(name)) ?? null,
    addPerson: ({ id, name, role, createdMs, passwordHash }) => {
      if (byName.get(nameKey(name)))
        throw new AccountTakenError('there is already a person of this name: choose another')
      insert.run(id, name, nameKey(name), role, passwordHash, createdMs)
    },
    passwordHash: (personId) => hash.get(personId)?.hash ?? null,
    setPasswordHash: (personId, passwordHash) => void setHash.run(passwordHash, personId),
    setRole: (personId, role) => void setRole.run(role, personId),
    removePerson: (personId, atMs) => removeAll(personId, atMs),
  }
}

function sessionMethods(
  db: Database,
): Pick<AccountStore, 'addSession' | 'session' | 'touchSession' | 'removeSession' | 'removeSessionsOf'> {
  const insert = db.prepare<Session>(
    `INSERT INTO session (token_hash, person_id, created_ms, last_seen_ms, expires_ms)
     VALUES (@tokenHash, @personId, @createdMs, @lastSeenMs, @expiresMs)`,
  )
  const get = db.prepare<[string], Session>(
    `SELECT token_hash AS tokenHash, person_id AS personId, created_ms AS createdMs, last_seen_ms AS lastSeenMs,
       expires_ms AS expiresMs FROM session WHERE token_hash = ?`,
  )
  const touch = db.prepare<[number, string]>('UPDATE session SET last_seen_ms = ? WHERE token_hash = ?')
  const remove = db.prepare<[string]>('DELETE FROM session WHERE token_hash = ?')
  const removeOf = db.prepare<[string]>('DELETE FROM session WHERE person_id = ?')
  return {
    addSession: (session) => void insert.run(session),
    session: (tokenHash) => get.get(tokenHash) ?? null,
    touchSession: (tokenHash, lastSeenMs) => void touch.run(lastSeenMs, tokenHash),
    removeSession: (tokenHash) => void remove.run(tokenHash),
    removeSessionsOf: (personId) => void removeOf.run(personId),
  }
}

function codeMethods(
  db: Database,
): Pick<
  AccountStore,
  'addSignInCode' | 'takeSignInCode' | 'hasSignInCode' | 'dropSignInCodesOf' | 'dropSignInCodes'
> {
  const insert = db.prepare<SignInCode>(
    'INSERT INTO sign_in_code (code_hash, purpose, person_id, expires_ms) VALUES (@codeHash, @purpose, @personId, @expiresMs)',
  )
  const take = db.prepare<[string], SignInCode>(
    `DELETE FROM sign_in_code WHERE code_hash = ?
     RETURNING code_hash AS codeHash, purpose, person_id AS personId, expires_ms AS expiresMs`,
  )
  const drop = db.prepare<[string]>('DELETE FROM sign_in_code WHERE purpose = ?')
  const waiting = db.prepare<[string, number]>(
    'SELECT 1 FROM sign_in_code WHERE person_id = ? AND expires_ms > ?',
  )
  const dropOf = db.prepare<[string]>('DELETE FROM sign_in_code WHERE person_id = ?')
  return {
    addSignInCode: (code) => void insert.run(code),
    takeSignInCode: (codeHash, atMs) => {
      const code = take.get(codeHash)
      return code && code.expiresMs > atMs ? code : null
    },
    hasSignInCode: (personId, atMs) => waiting.get(personId, atMs) !== undefined,
    dropSignInCodesOf: (personId) => void dropOf.run(personId),
    dropSignInCodes: (purpose) => void drop.run(purpose),
  }
}

function credentialMethods(
  db: Database,
): Pick<
  AccountStore,
  'putCredential' | 'credential' | 'credentialByHash' | 'credentials' | 'revokeCredential'
> {
  const columns =
    'id, kind, title, secret_hash AS secretHash, created_ms AS createdMs, revoked_ms AS revokedMs'
  const put = db.prepare<Omit<Credential, 'revokedMs'>>(
    `INSERT INTO credential (kind, id, title, secret_hash, created_ms) VALUES (@kind, @id, @title, @secretHash, @createdMs)
     ON CONFLICT (kind, id) DO UPDATE SET title = excluded.title, secret_hash = excluded.secret_hash,
       created_ms = excluded.created_ms, revoked_ms = NULL`,
  )
  const get = db.prepare<[string, string], Credential>(
    `SELECT ${columns} FROM credential WHERE kind = ? AND id = ?`,
  )
  const byHash = db.prepare<[string, string], Credential>(
    `SELECT ${columns} FROM credential WHERE kind = ? AND secret_hash = ?`,
  )
  const all = db.prepare<[string], Credential>(`SELECT ${columns} FROM credential WHERE kind = ? ORDER BY id`)
  const revoke = db.prepare<[number, string, string]>(
    'UPDATE credential SET revoked_ms = ? WHERE kind = ? AND id = ? AND revoked_ms IS NULL',
  )
  return {
    putCredential: (credential) => void put.run(credential),
    credential: (kind, id) => get.get(kind, id) ?? null,
    credentialByHash: (kind, secretHash) => byHash.get(kind, secretHash) ?? null,
    credentials: (kind) => all.all(kind),
    revokeCredential: (kind, id, atMs) => void revoke.run(atMs, kind, id),
  }
}
