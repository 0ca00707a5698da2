import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteNoticeStore } from '../../services/adapters/records-sqlite/create-notice-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { NoticeStore } from '../../services/core/model/ports/notice-store.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { breaksRule, rulesIn } from './contract.ts'
import { noticeStoreContract } from './notice-store.contract.ts'

const folders = createTemporaryFolders()
const opened: (() => void)[] = []
afterEach(() => {
  opened.splice(0).forEach((close) => close())
  folders.removeAll()
})
function openStore(): NoticeStore {
  const db = openDatabase({ dataDir: folders.make() })
  opened.push(() => db.close())
  return createSqliteNoticeStore({ db })
}

const broken: readonly [string, string, (sound: NoticeStore) => Partial<NoticeStore>][] = [
  ['NS-1', 'leaves a device with its first owner', (s) => ({ putDevice: putOnce(s) })],
  [
    'NS-1',
    'gives a device a new id',
    (s) => ({ devices: () => s.devices().map((d) => ({ ...d, id: `${d.personId} ${d.id}` })) }),
  ],
  ['NS-2', 'always says that it was there', (s) => ({ removeDevice: (id) => s.removeDevice(id) || true })],
  ['NS-2', 'takes all away', (s) => ({ removeDevice: (id) => removeAll(s, id) })],
  [
    'NS-3',
    'takes two channels for one',
    (s) => ({ addDelivery: (d) => s.addDelivery({ ...d, channel: 'push' }) }),
  ],
  [
    'NS-3',
    'adds again what is there',
    (s) => ({ waitingDeliveries: () => s.waitingDeliveries().flatMap((d) => [d, d]) }),
  ],
  ['NS-4', 'gives what waits alone', (s) => ({ deliveriesOf: (k) => waitingAlone(s, k) })],
  ['NS-4', 'turns the order', (s) => ({ deliveriesOf: (k) => [...s.deliveriesOf(k)].reverse() })],
  [
    'NS-5',
    'gives the newest first',
    (s) => ({ waitingDeliveries: () => [...s.waitingDeliveries()].reverse() }),
  ],
  ['NS-5', 'marks nothing', () => ({ setDelivery: () => undefined })],
  ['NS-6', 'gives the oldest first', (s) => ({ attempts: (n) => [...s.attempts(n)].reverse() })],
  ['NS-6', 'drops a moment too much', (s) => ({ pruneBefore: (atMs) => s.pruneBefore(atMs + 1) })],
  ['NS-6', 'drops nothing', () => ({ pruneBefore: () => undefined })],
  ['NS-7', 'knows every link', (s) => ({ replyLink: (h) => s.replyLink(h) ?? s.replyLink('hash') })],
  ['NS-7', 'loses whose it is', (s) => ({ putReplyLink: (l) => s.putReplyLink({ ...l, contactId: 'any' }) })],
  ['NS-8', 'keeps the older', (s) => ({ putSealedSecret: sealOnce(s) })],
]

function putOnce(s: NoticeStore): NoticeStore['putDevice'] {
  return (d) => (s.devices().some((other) => other.endpoint === d.endpoint) ? undefined : s.putDevice(d))
}
function removeAll(s: NoticeStore, id: string): boolean {
  const was = s.devices().some((d) => d.id === id)
  for (const d of s.devices()) s.removeDevice(d.id)
  return was
}
function waitingAlone(s: NoticeStore, keys: readonly string[]): ReturnType<NoticeStore['deliveriesOf']> {
  return s.deliveriesOf(keys).filter((d) => d.state === 'waiting')
}
function sealOnce(s: NoticeStore): NoticeStore['putSealedSecret'] {
  return (name, text) => (s.sealedSecret(name) === null ? s.putSealedSecret(name, text) : undefined)
}

describe('a store of notices on their way, in SQLite', () => {
  it.each(noticeStoreContract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))('%s', (_name, check) => {
    check(openStore())
  })
})

describe('the contract of a store of notices on their way', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(
      new URL('../../services/core/model/ports/notice-store.ts', import.meta.url),
      'utf8',
    )
    expect([...new Set(noticeStoreContract.map((c) => c.rule))].sort()).toEqual(rulesIn(port, 'NS'))
  })

  it.each(broken)('%s refuses a store that %s', (rule, _fault, change) => {
    const makeBroken = () => {
      const sound = openStore()
      return { ...sound, ...change(sound) }
    }
    expect(breaksRule(noticeStoreContract, rule, makeBroken)).toBe(true)
  })
})
