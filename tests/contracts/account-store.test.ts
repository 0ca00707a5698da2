import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import type { AccountStore } from '../../services/core/model/ports/accounts.ts'
import { createSqliteBench } from '../parts/sqlite-records.ts'
import { accountStoreContract } from './account-store.contract.ts'
import { breaksRule, rulesIn } from './contract.ts'

const bench = createSqliteBench()
afterEach(bench.closeAll)

const broken: readonly [string, string, (sound: AccountStore) => Partial<AccountStore>][] = [
  [
    'AC-1',
    'tells names apart by case',
    (s) => ({ addPerson: (p) => s.addPerson({ ...p, name: `${p.name}${p.name.length}${p.id}` }) }),
  ],
  [
    'AC-1',
    'finds names by ASCII case alone',
    (s) => ({ personByName: (name) => s.people().find((p) => p.name === name) ?? null }),
  ],
  [
    'AC-2',
    'leaves the sessions of a removed person',
    (s) => ({
      session: (hash) =>
        s.session(hash) ?? { tokenHash: hash, personId: '', createdMs: 0, lastSeenMs: 0, expiresMs: 0 },
    }),
  ],
  ['AC-2', 'removes nobody', () => ({ removePerson: () => undefined })],
  [
    'AC-3',
    'takes a code at its end',
    (s) => ({ takeSignInCode: (hash, atMs) => s.takeSignInCode(hash, atMs - 1) }),
  ],
  [
    'AC-3',
    'drops every code',
    (s) => ({ dropSignInCodes: () => [s.dropSignInCodes('firstOwner'), s.dropSignInCodes('signIn')] }),
  ],
  [
    'AC-4',
    'never replaces a secret',
    (s) => ({ putCredential: (c) => (s.credential(c.kind, c.id) ? undefined : s.putCredential(c)) }),
  ],
  [
    'AC-4',
    'finds a secret of another kind',
    (s) => ({ credentialByHash: (_kind, hash) => s.credentialByHash('program', hash) }),
  ],
  ['AC-6', 'keeps a role for good', () => ({ setRole: () => undefined })],
  [
    'AC-7',
    'tells of a code at its end',
    (s) => ({ hasSignInCode: (id, atMs) => s.hasSignInCode(id, atMs - 1) }),
  ],
  ['AC-7', 'drops the codes of all', (s) => ({ dropSignInCodesOf: () => s.dropSignInCodes('signIn') })],
  ['AC-5', 'ends one session of a person', (s) => ({ removeSessionsOf: () => s.removeSession('t2') })],
]

describe('an account store in SQLite', () => {
  it.each(accountStoreContract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))(
    '%s',
    (_name, check) => {
      check(bench.open().accounts)
    },
  )
})

describe('the contract of an account store', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(new URL('../../services/core/model/ports/accounts.ts', import.meta.url), 'utf8')
    expect([...new Set(accountStoreContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'AC'))
  })

  it.each(broken)('%s refuses a store that %s', (rule, _fault, change) => {
    const makeBroken = () => {
      const { accounts } = bench.open()
      return { ...accounts, ...change(accounts) }
    }
    expect(breaksRule(accountStoreContract, rule, makeBroken)).toBe(true)
  })
})
