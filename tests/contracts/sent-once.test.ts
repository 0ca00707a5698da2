import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteSentOnceStore } from '../../services/adapters/records-sqlite/create-sent-once-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { SentOnceStore } from '../../services/core/model/ports/sent-once.ts'
import { breaksRule, rulesIn, type ContractCase } from './contract.ts'

const request = (key: string, change: { callerId?: string; askedHash?: string; atMs?: number } = {}) => ({
  callerId: 'mira',
  key,
  askedHash: 'h1',
  atMs: 100,
  ...change,
})
const answer = { status: 409, contentType: 'application/problem+json', body: '{"detail":"Größe"}' }

const contract: readonly ContractCase<SentOnceStore>[] = [
  {
    rule: 'SO-1',
    name: 'a key is new once, and each caller has keys of their own',
    check: (store) => {
      expect(store.begin(request('k'))).toEqual({ state: 'new' })
      expect(store.begin(request('k'))).toEqual({ state: 'begun' })
      expect(store.begin(request('k', { callerId: 'ben' }))).toEqual({ state: 'new' })
    },
  },
  {
    rule: 'SO-2',
    name: 'a key for something else is told apart, and the first stands',
    check: (store) => {
      store.begin(request('k'))
      expect(store.begin(request('k', { askedHash: 'h2' }))).toEqual({ state: 'other' })
      store.settle(request('k'), answer)
      expect(store.begin(request('k', { askedHash: 'h2' }))).toEqual({ state: 'other' })
      expect(store.begin(request('k')).state).toBe('answered')
    },
  },
  {
    rule: 'SO-3',
    name: 'an answer is given again byte for byte, to its own key alone',
    check: (store) => {
      store.begin(request('k'))
      store.begin(request('l'))
      store.settle(request('k'), answer)
      expect(store.begin(request('k'))).toEqual({ state: 'answered', answer })
      expect(store.begin(request('l'))).toEqual({ state: 'begun' })
    },
  },
  {
    rule: 'SO-4',
    name: 'what was forgotten is new again',
    check: (store) => {
      store.begin(request('k'))
      store.begin(request('l'))
      store.forget(request('k'))
      expect([store.begin(request('k')).state, store.begin(request('l')).state]).toEqual(['new', 'begun'])
    },
  },
  {
    rule: 'SO-5',
    name: 'drops what was begun before a time, and nothing of that time or later',
    check: (store) => {
      store.begin(request('old', { atMs: 99 }))
      store.begin(request('young', { atMs: 100 }))
      store.dropBefore(100)
      expect([store.begin(request('old')).state, store.begin(request('young')).state]).toEqual([
        'new',
        'begun',
      ])
    },
  },
]

const broken: readonly [string, string, (sound: SentOnceStore) => Partial<SentOnceStore>][] = [
  ['SO-1', 'mixes callers up', (s) => ({ begin: (r) => s.begin({ ...r, callerId: '' }) })],
  ['SO-2', 'looks at the key alone', (s) => ({ begin: (r) => s.begin({ ...r, askedHash: '' }) })],
  ['SO-3', 'keeps no body', (s) => ({ settle: (r, a) => s.settle(r, { ...a, body: '' }) })],
  ['SO-4', 'forgets nothing', () => ({ forget: () => undefined })],
  ['SO-5', 'drops a moment too much', (s) => ({ dropBefore: (atMs) => s.dropBefore(atMs + 1) })],
]

const opened: (() => void)[] = []
afterEach(() => opened.splice(0).forEach((close) => close()))
function openStore(): SentOnceStore {
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-once-'))
  const db = openDatabase({ dataDir })
  opened.push(() => {
    db.close()
    rmSync(dataDir, { recursive: true })
  })
  return createSqliteSentOnceStore({ db })
}

describe('a store of requests sent once, in SQLite', () => {
  it.each(contract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))('%s', (_name, check) => {
    check(openStore())
  })
})

describe('the contract of a store of requests sent once', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(
      new URL('../../services/core/model/ports/sent-once.ts', import.meta.url),
      'utf8',
    )
    expect([...new Set(contract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'SO'))
  })

  it.each(broken)('%s refuses a store that %s', (rule, _fault, change) => {
    const makeBroken = () => {
      const sound = openStore()
      return { ...sound, ...change(sound) }
    }
    expect(breaksRule(contract, rule, makeBroken)).toBe(true)
  })
})
