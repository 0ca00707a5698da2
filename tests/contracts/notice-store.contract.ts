import { expect } from 'vitest'
import type {
  DeliveryAttempt,
  Device,
  NewDelivery,
  NoticeStore,
  ReplyLink,
} from '../../services/core/model/ports/notice-store.ts'
import type { ContractCase } from './contract.ts'

const device = (change: Partial<Device> = {}): Omit<Device, 'lastOkMs'> => ({
  id: 'phone',
  personId: 'ana',
  title: 'Phone',
  endpoint: 'https://push.example.net/1',
  p256dh: 'point',
  auth: 'auth',
  createdMs: 10,
  ...change,
})
const delivery = (change: Partial<NewDelivery> = {}): NewDelivery => ({
  noticeKey: 'one',
  contactId: 'ana',
  channel: 'push',
  targetId: 'phone',
  nextMs: 5,
  ...change,
})
const attempt = (atMs: number): DeliveryAttempt => ({
  atMs,
  noticeKey: `at ${atMs}`,
  contactId: 'ana',
  channel: 'mail',
  target: 'a…@example.org',
  outcome: 'later',
  reason: 'the server is away',
})
const link = (change: Partial<ReplyLink> = {}): ReplyLink => ({
  tokenHash: 'hash',
  contactId: 'ana',
  alarmId: 'alarm-1',
  noticeKey: 'one',
  expiresMs: 100,
  ...change,
})
const keysOf = (some: readonly { noticeKey: string; targetId: string }[]) =>
  some.map((d) => `${d.noticeKey} ${d.targetId}`)

export const noticeStoreContract: readonly ContractCase<NoticeStore>[] = [
  {
    rule: 'NS-1',
    name: 'the same endpoint keeps its id, belongs to whoever came last, and takes its new keys',
    check: (store) => {
      store.putDevice(device())
      store.putDevice(device({ id: 'tablet', endpoint: 'https://push.example.net/2', createdMs: 9 }))
      store.noteDeviceOk('phone', 77)
      store.putDevice(device({ id: 'other', personId: 'bo', title: 'Mine now', auth: 'new', createdMs: 99 }))
      expect(store.devices().map((d) => d.id)).toEqual(['tablet', 'phone'])
      expect(store.devices()[1]).toEqual({
        ...device({ personId: 'bo', title: 'Mine now', auth: 'new' }),
        lastOkMs: 77,
      })
      expect(store.devices()[0]?.lastOkMs).toBeNull()
    },
  },
  {
    rule: 'NS-2',
    name: 'a device is taken away once, and no other with it',
    check: (store) => {
      store.putDevice(device())
      store.putDevice(device({ id: 'tablet', endpoint: 'https://push.example.net/2' }))
      expect([store.removeDevice('phone'), store.removeDevice('phone')]).toEqual([true, false])
      expect(store.devices().map((d) => d.id)).toEqual(['tablet'])
    },
  },
  {
    rule: 'NS-3',
    name: 'one notice by one channel to one target is one delivery, and the first stands',
    check: (store) => {
      store.addDelivery(delivery())
      store.addDelivery(delivery({ nextMs: 99 }))
      store.addDelivery(delivery({ targetId: 'tablet' }))
      store.addDelivery(delivery({ channel: 'mail' }))
      store.addDelivery(delivery({ noticeKey: 'two' }))
      expect(store.waitingDeliveries()).toHaveLength(4)
      expect(store.waitingDeliveries()[0]?.nextMs).toBe(5)
    },
  },
  {
    rule: 'NS-4',
    name: 'gives the deliveries of these notices alone, as they were added, ended ones too',
    check: (store) => {
      for (const noticeKey of ['b', 'a', 'c']) store.addDelivery(delivery({ noticeKey }))
      store.addDelivery(delivery({ noticeKey: 'a', targetId: 'tablet' }))
      const [first] = store.deliveriesOf(['b'])
      if (!first) throw new Error('it is not there')
      expect(first).toEqual({
        ...delivery({ noticeKey: 'b' }),
        ...{ id: first.id, state: 'waiting', attempts: 0, summaryKey: null },
      })
      store.setDelivery({ id: first.id, state: 'taken', attempts: 2, nextMs: 8, summaryKey: 'summary' })
      expect(keysOf(store.deliveriesOf(['a', 'b']))).toEqual(['b phone', 'a phone', 'a tablet'])
      expect(store.deliveriesOf(['b'])[0]).toMatchObject({ state: 'taken', attempts: 2, nextMs: 8 })
      expect(store.deliveriesOf([])).toEqual([])
    },
  },
  {
    rule: 'NS-5',
    name: 'what waits, oldest first; what has ended waits no more and stays as it ended',
    check: (store) => {
      for (const noticeKey of ['b', 'a']) store.addDelivery(delivery({ noticeKey }))
      expect(keysOf(store.waitingDeliveries())).toEqual(['b phone', 'a phone'])
      const [first] = store.waitingDeliveries()
      if (!first) throw new Error('nothing waits')
      store.setDelivery({ ...first, state: 'dead' })
      store.setDelivery({ ...first, state: 'waiting' })
      expect(keysOf(store.waitingDeliveries())).toEqual(['a phone'])
      expect(store.deliveriesOf(['b'])[0]?.state).toBe('dead')
    },
  },
  {
    rule: 'NS-6',
    name: 'every try is kept whole, newest first, and what came before a time is dropped, no more',
    check: (store) => {
      for (const atMs of [99, 100, 101]) store.logAttempt(attempt(atMs))
      expect(store.attempts(2)).toEqual([attempt(101), attempt(100)])
      store.putReplyLink(link({ tokenHash: 'old', expiresMs: 99 }))
      store.putReplyLink(link({ tokenHash: 'young', expiresMs: 100 }))
      store.pruneBefore(100)
      expect(store.attempts(9).map((a) => a.atMs)).toEqual([101, 100])
      expect([store.replyLink('old'), store.replyLink('young')?.expiresMs]).toEqual([null, 100])
    },
  },
  {
    rule: 'NS-7',
    name: 'a link is found by its hash alone; the same again is the same, and lasts no longer',
    check: (store) => {
      store.putReplyLink(link())
      store.putReplyLink(link({ expiresMs: 900, contactId: 'bo' }))
      store.putReplyLink(link({ tokenHash: 'test', alarmId: null }))
      expect(store.replyLink('hash')).toEqual(link())
      expect(store.replyLink('test')?.alarmId).toBeNull()
      expect(store.replyLink('nobody knows it')).toBeNull()
    },
  },
  {
    rule: 'NS-8',
    name: 'sealed text is found by its name, and the newer takes the place of the older',
    check: (store) => {
      expect([store.sealedSecret('mail'), store.sealedNames()]).toEqual([null, []])
      store.putSealedSecret('mail', 'old')
      store.putSealedSecret('keys', 'other')
      store.putSealedSecret('mail', 'new')
      expect([store.sealedSecret('mail'), store.sealedSecret('keys')]).toEqual(['new', 'other'])
      expect([...store.sealedNames()].sort()).toEqual(['keys', 'mail'])
    },
  },
]
