import { expect } from 'vitest'
import type { Notice } from '../../services/core/model/notice.ts'
import type { ContractCase } from './contract.ts'
import { noticeOf, T0 } from './record-samples.ts'
import type { Records } from './records.ts'

function queue(book: Records['book'], change: Partial<Notice>, atMs = T0): void {
  const effect = { type: 'noticeQueued', notice: noticeOf(change), atMs } as const
  book.transaction(() => book.applyEffects(1, [effect]))
}
const settle = (book: Records['book'], key: string) =>
  book.transaction(() => book.settleNotice({ key, outcome: 'delivered', atMs: T0 + 9 }))
const pendingKeys = (book: Records['book'], limit = 99) => book.pendingNotices(limit).map((p) => p.notice.key)

export const noticesContract: readonly ContractCase<Records>[] = [
  {
    rule: 'BR-16',
    name: 'notices wait in the order in which they were queued, whole, at most as many as asked for',
    check: ({ book }) => {
      queue(book, { key: 'b', topic: 'alarm b' }, T0 + 5)
      queue(book, { key: 'a', topic: 'alarm a' }, T0 + 6)
      queue(book, { key: 'c', topic: 'alarm c' }, T0 + 4)
      expect(pendingKeys(book)).toEqual(['b', 'a', 'c'])
      expect(pendingKeys(book, 2)).toEqual(['b', 'a'])
      expect(book.pendingNotices(1)).toEqual([
        { notice: noticeOf({ key: 'b', topic: 'alarm b' }), queuedMs: T0 + 5 },
      ])
    },
  },
  {
    rule: 'BR-16',
    name: 'a newer notice takes the place of an older one of the same contact and topic, and of no other',
    check: ({ book }) => {
      queue(book, { key: 'dry-1', topic: 'dry' })
      queue(book, { key: 'dry-other', topic: 'dry', contactId: 'second' })
      queue(book, { key: 'bottle', topic: 'bottle' })
      queue(book, { key: 'dry-2', topic: 'dry' })
      expect(pendingKeys(book)).toEqual(['dry-other', 'bottle', 'dry-2'])
    },
  },
  {
    rule: 'BR-16',
    name: 'the same key again is one notice, waiting or gone, and does not push a newer one aside',
    check: ({ book }) => {
      queue(book, { key: 'one' })
      queue(book, { key: 'one', title: 'Other words' })
      expect(book.pendingNotices(9).map((p) => p.notice)).toEqual([noticeOf({ key: 'one' })])
      queue(book, { key: 'two' })
      queue(book, { key: 'one' })
      expect(pendingKeys(book)).toEqual(['two'])
      settle(book, 'two')
      queue(book, { key: 'two' })
      expect(pendingKeys(book)).toEqual([])
    },
  },
  {
    rule: 'BR-17',
    name: 'a settled notice is pending no more, twice settled is settled, and the others wait on',
    check: ({ book }) => {
      queue(book, { key: 'a', topic: 'a' })
      queue(book, { key: 'b', topic: 'b' })
      settle(book, 'a')
      settle(book, 'a')
      settle(book, 'nobody knows it')
      expect(pendingKeys(book)).toEqual(['b'])
      book.transaction(() => book.settleNotice({ key: 'b', outcome: 'givenUp', atMs: T0 }))
      expect(pendingKeys(book)).toEqual([])
    },
  },
  {
    rule: 'BR-17',
    name: 'what a failed transaction settled waits on',
    check: ({ book }) => {
      queue(book, { key: 'a' })
      const fail = (): void => {
        book.settleNotice({ key: 'a', outcome: 'delivered', atMs: T0 })
        throw new Error('the disk is full')
      }
      expect(() => book.transaction(fail)).toThrow('the disk is full')
      expect(pendingKeys(book)).toEqual(['a'])
    },
  },
]
