import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteNightStore } from '../../services/adapters/records-sqlite/create-night-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { NightStore } from '../../services/core/model/ports/night-store.ts'
import { createMemoryNights } from '../parts/memory-nights.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { breaksRule, rulesIn } from './contract.ts'
import { nightStoreContract, type Nights } from './night-store.contract.ts'

const folders = createTemporaryFolders()
const opened: (() => void)[] = []
afterEach(() => {
  opened.splice(0).forEach((close) => close())
  folders.removeAll()
})
function openNights(): Nights {
  const db = openDatabase({ dataDir: folders.make() })
  opened.push(() => db.close())
  return { store: createSqliteNightStore({ db }), book: createSqliteBookOfRecord({ db }) }
}

const broken: readonly [string, string, (sound: NightStore) => Partial<NightStore>][] = [
  [
    'NE-1',
    'has one number for all versions',
    (s) => ({ throughSeq: () => s.throughSeq('1, dry below 40 %RH') }),
  ],
  [
    'NE-2',
    'never drops',
    (s) => ({ renew: (r) => s.renew({ ...r, replaced: [], nights: r.replaced.length ? [] : r.nights }) }),
  ],
  ['NE-2', 'gives all versions', (s) => ({ nights: () => s.nights('1, dry below 40 %RH') })],
  ['NE-3', 'turns the order', (s) => ({ nights: (v) => [...s.nights(v)].reverse() })],
  [
    'NE-3',
    'takes null for nothing',
    (s) => ({ nights: (v) => s.nights(v).map((n) => ({ ...n, cleaningsSeen: n.cleaningsSeen ?? 0 })) }),
  ],
  ['NE-4', 'never moves', () => ({ revision: () => 0 })],
  ['NE-4', 'moves each time', (s) => ({ renew: countedRenew(s), revision: () => renewals })],
  ['NE-5', 'forgets what came', () => ({ touchedAfter: () => [] })],
  ['NE-5', 'counts from one too early', (s) => ({ touchedAfter: (seq) => s.touchedAfter(seq - 1) })],
  ['NE-6', 'always says that it froze', (s) => ({ freeze: (v) => s.freeze(v) || true })],
  ['NE-7', 'gives the oldest first', (s) => ({ frozen: () => [...s.frozen()].reverse() })],
  ['NE-9', 'never moves with what is logged', () => ({ logRevision: () => 0 })],
  ['NE-8', 'remembers nothing', () => ({ renewedMs: () => null })],
]

let renewals = 0
function countedRenew(s: NightStore): NightStore['renew'] {
  return (r) => {
    renewals++
    s.renew(r)
  }
}

describe.each([
  ['in SQLite', openNights],
  ['in memory', createMemoryNights],
] as const)('a store of nights, %s', (_where, open) => {
  it.each(nightStoreContract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))('%s', (_name, check) => {
    check(open())
  })
})

describe('the contract of a store of nights', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(
      new URL('../../services/core/model/ports/night-store.ts', import.meta.url),
      'utf8',
    )
    expect([...new Set(nightStoreContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'NE'))
  })

  it.each(broken)('%s refuses a store that %s', (rule, _fault, change) => {
    const makeBroken = () => {
      const { store, book } = openNights()
      return { book, store: { ...store, ...change(store) } }
    }
    expect(breaksRule(nightStoreContract, rule, makeBroken)).toBe(true)
  })
})
