import { expect } from 'vitest'
import type {
  AccountStore,
  Credential,
  Session,
  SignInCode,
} from '../../services/core/model/ports/accounts.ts'
import type { ContractCase } from './contract.ts'
import { T0 } from './record-samples.ts'

const person = (id: string, name: string) =>
  ({ id, name, role: 'operator', createdMs: T0, passwordHash: `hash of ${id}` }) as const
const session = (tokenHash: string, personId: string): Session => ({
  tokenHash,
  personId,
  createdMs: T0,
  lastSeenMs: T0,
  expiresMs: T0 + 9,
})
const code = (codeHash: string, change: Partial<SignInCode> = {}): SignInCode => ({
  codeHash,
  purpose: 'signIn',
  personId: null,
  expiresMs: T0 + 100,
  ...change,
})
const credential = (kind: Credential['kind'], id: string, secretHash: string) => ({
  kind,
  id,
  title: `The ${id}`,
  secretHash,
  createdMs: T0,
})

const ofPeople: readonly ContractCase<AccountStore>[] = [
  {
    rule: 'AC-1',
    name: 'people are found by id and by name, whatever its case; the name stays as it was written',
    check: (store) => {
      store.addPerson(person('p1', 'Zoë Øst'))
      const known = { id: 'p1', name: 'Zoë Øst', role: 'operator', createdMs: T0, removedMs: null }
      expect(store.people()).toEqual([known])
      expect([store.person('p1'), store.personByName('ZOË ØST'), store.personByName('zoë øst')]).toEqual([
        known,
        known,
        known,
      ])
      expect([store.person('p2'), store.personByName('Zoe Ost')]).toEqual([null, null])
    },
  },
  {
    rule: 'AC-1',
    name: 'a second person of a name is refused, whatever its case and however its letters are composed',
    check: (store) => {
      store.addPerson(person('p1', 'Zoë Øst'))
      for (const name of ['Zoë Øst', 'ZOË ØST', 'zoë øst', 'Zoe\u0308 Øst', ' Zoë Øst ']) {
        expect(() => store.addPerson(person('p2', name))).toThrow(
          expect.objectContaining({ name: 'AccountTakenError', code: 'ACCOUNT_TAKEN' }),
        )
      }
      store.addPerson(person('p2', 'Zoe Ost'))
      expect(store.people().map((p) => p.id)).toEqual(['p1', 'p2'])
    },
  },
  {
    rule: 'AC-2',
    name: 'a removed person keeps the id and loses name, password, sessions and codes; the name is free again',
    check: (store) => {
      store.addPerson(person('p1', 'Ada'))
      store.addPerson(person('p2', 'Bo'))
      store.addSession(session('t1', 'p1'))
      store.addSession(session('t2', 'p2'))
      store.addSignInCode(code('c1', { personId: 'p1' }))
      store.removePerson('p1', T0 + 5)
      expect(store.person('p1')).toEqual({
        id: 'p1',
        name: '',
        role: 'operator',
        createdMs: T0,
        removedMs: T0 + 5,
      })
      expect([
        store.personByName('Ada'),
        store.personByName(''),
        store.passwordHash('p1'),
        store.session('t1'),
      ]).toEqual([null, null, null, null])
      expect(store.takeSignInCode('c1', T0)).toBeNull()
      expect([store.passwordHash('p2'), store.session('t2')]).toEqual(['hash of p2', session('t2', 'p2')])
      store.addPerson(person('p3', 'ada'))
      store.removePerson('p3', T0 + 6)
      expect(
        store
          .people()
          .filter((p) => p.removedMs === null)
          .map((p) => p.id),
      ).toEqual(['p2'])
    },
  },
  {
    rule: 'AC-2',
    name: 'a removed person stays removed: the time is the first one, and no password can be set',
    check: (store) => {
      store.addPerson(person('p1', 'Ada'))
      store.removePerson('p1', T0 + 5)
      store.removePerson('p1', T0 + 9)
      store.setPasswordHash('p1', 'new')
      expect([store.person('p1')?.removedMs, store.passwordHash('p1')]).toEqual([T0 + 5, null])
    },
  },
  {
    rule: 'AC-6',
    name: "another role is one person's, and a removed person keeps the last",
    check: (store) => {
      store.addPerson(person('p1', 'Zoë'))
      store.addPerson(person('p2', 'Ben'))
      store.setRole('p1', 'technician')
      store.removePerson('p1', T0 + 5)
      store.setRole('p1', 'owner')
      expect([store.person('p1')?.role, store.person('p2')?.role]).toEqual(['technician', 'operator'])
    },
  },
]

const ofSecrets: readonly ContractCase<AccountStore>[] = [
  {
    rule: 'AC-3',
    name: 'a sign-in code works once',
    check: (store) => {
      store.addSignInCode(code('c1'))
      expect(store.takeSignInCode('c1', T0)).toEqual(code('c1'))
      expect([store.takeSignInCode('c1', T0), store.takeSignInCode('c2', T0)]).toEqual([null, null])
    },
  },
  {
    rule: 'AC-3',
    name: 'a code does not work at its end, and trying an expired one uses it up',
    check: (store) => {
      store.addSignInCode(code('c1'))
      expect(store.takeSignInCode('c1', T0 + 100)).toBeNull()
      expect(store.takeSignInCode('c1', T0)).toBeNull()
    },
  },
  {
    rule: 'AC-3',
    name: 'codes of a purpose are dropped together, and only those',
    check: (store) => {
      store.addSignInCode(code('c1', { purpose: 'firstOwner' }))
      store.addSignInCode(code('c2'))
      store.dropSignInCodes('firstOwner')
      expect([store.takeSignInCode('c1', T0), store.takeSignInCode('c2', T0)]).toEqual([null, code('c2')])
    },
  },
  {
    rule: 'AC-7',
    name: 'a code of a person is told of until it is used or at its end, and dropped with no other',
    check: (store) => {
      store.addSignInCode(code('c1', { personId: 'p1' }))
      store.addSignInCode(code('c2', { personId: 'p2' }))
      expect([store.hasSignInCode('p1', T0 + 99), store.hasSignInCode('p1', T0 + 100)]).toEqual([true, false])
      store.dropSignInCodesOf('p1')
      expect([store.hasSignInCode('p1', T0), store.hasSignInCode('p2', T0)]).toEqual([false, true])
      store.takeSignInCode('c2', T0)
      expect(store.hasSignInCode('p2', T0)).toBe(false)
    },
  },
  {
    rule: 'AC-4',
    name: 'a credential of an id that has one replaces it, a revoked one too; kinds are apart',
    check: (store) => {
      store.putCredential(credential('node', 'bench', 'h1'))
      store.putCredential(credential('program', 'bench', 'h1'))
      store.revokeCredential('node', 'bench', T0 + 5)
      expect(store.credentialByHash('node', 'h1')?.revokedMs).toBe(T0 + 5)
      store.putCredential(credential('node', 'bench', 'h2'))
      expect(store.credential('node', 'bench')).toEqual({
        ...credential('node', 'bench', 'h2'),
        revokedMs: null,
      })
      expect([store.credentialByHash('node', 'h1'), store.credentialByHash('node', 'h2')?.id]).toEqual([
        null,
        'bench',
      ])
      expect(store.credential('program', 'bench')).toEqual({
        ...credential('program', 'bench', 'h1'),
        revokedMs: null,
      })
    },
  },
  {
    rule: 'AC-4',
    name: 'credentials of a kind come in the order of their ids, and keep the first time they were revoked',
    check: (store) => {
      for (const id of ['b', 'a']) store.putCredential(credential('node', id, `h-${id}`))
      store.revokeCredential('node', 'b', T0 + 1)
      store.revokeCredential('node', 'b', T0 + 9)
      expect(store.credentials('node').map((c) => [c.id, c.revokedMs])).toEqual([
        ['a', null],
        ['b', T0 + 1],
      ])
      expect([store.credentials('program'), store.credential('node', 'z')]).toEqual([[], null])
    },
  },
  {
    rule: 'AC-5',
    name: 'a session is found by its token until it is removed, alone or with all of its person',
    check: (store) => {
      store.addPerson(person('p1', 'Ada'))
      store.addPerson(person('p2', 'Bo'))
      for (const [token, id] of [
        ['t1', 'p1'],
        ['t2', 'p1'],
        ['t3', 'p1'],
        ['t4', 'p2'],
      ] as const)
        store.addSession(session(token, id))
      store.touchSession('t1', T0 + 7)
      expect(store.session('t1')).toEqual({ ...session('t1', 'p1'), lastSeenMs: T0 + 7 })
      store.removeSession('t1')
      expect([store.session('t1'), store.session('t2')]).toEqual([null, session('t2', 'p1')])
      store.removeSessionsOf('p1')
      expect([store.session('t2'), store.session('t3'), store.session('t4')]).toEqual([
        null,
        null,
        session('t4', 'p2'),
      ])
    },
  },
  {
    rule: 'AC-5',
    name: 'a password hash is the one set last',
    check: (store) => {
      store.addPerson(person('p1', 'Ada'))
      expect([store.passwordHash('p1'), store.passwordHash('p9')]).toEqual(['hash of p1', null])
      store.setPasswordHash('p1', 'new')
      expect(store.passwordHash('p1')).toBe('new')
    },
  },
]

export const accountStoreContract: readonly ContractCase<AccountStore>[] = [...ofPeople, ...ofSecrets]
