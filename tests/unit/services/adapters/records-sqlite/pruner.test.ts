import type { Database } from 'better-sqlite3'
import { afterEach, describe, expect, it } from 'vitest'
import { createSqliteBookOfRecord } from '../../../../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqlitePruner } from '../../../../../services/adapters/records-sqlite/create-pruner.ts'
import { openDatabase } from '../../../../../services/adapters/records-sqlite/open-database.ts'
import type { BookOfRecord } from '../../../../../services/core/model/ports/records.ts'
import { PRUNE_KINDS, type PruneKind, type Pruner } from '../../../../../services/core/model/ports/pruning.ts'
import { createTemporaryFolders } from '../../../../parts/temporary-folder.ts'
import { deadline, pack, reading, settingsInput, T0 } from '../../../../contracts/record-samples.ts'

const folders = createTemporaryFolders()
const opened: Database[] = []
afterEach(() => {
  opened.splice(0).forEach((db) => db.close())
  folders.removeAll()
})

interface Bench {
  readonly db: Database
  readonly book: BookOfRecord
  readonly pruner: Pruner
  readonly column: (sql: string) => unknown[]
  /** Until nothing older is left, `most` rows at a time; gives how many went, and in how many steps. */
  readonly pruneAll: (kind: PruneKind, beforeMs: number, most?: number) => { gone: number; steps: number }
}
function bench(): Bench {
  const db = openDatabase({ dataDir: folders.make() })
  opened.push(db)
  const book = createSqliteBookOfRecord({ db })
  const pruner = createSqlitePruner({ db })
  return {
    db,
    book,
    pruner,
    column: (sql) => db.prepare(sql).pluck().all(),
    pruneAll: (kind, beforeMs, most = 1000) => {
      let [gone, steps] = [0, 0]
      for (let done = false; !done; steps++) {
        const result = book.transaction(() => pruner.prune(kind, { beforeMs, most }))
        gone += result.gone
        done = result.done
      }
      return { gone, steps }
    },
  }
}
const snapshot = (book: BookOfRecord, seq: number): void =>
  book.transaction(() => book.saveKernelSnapshot({ seq, kernelVersion: '3', stateJson: '{}' }))

describe('what has grown too old', () => {
  it('OLD-1 packs whose readings have gone and deadlines go; settings and acts stay, and the log can be read and goes on', () => {
    const { book, column, pruneAll } = bench()
    const act = { actorId: 'ana', via: 'screen' as const, atMs: T0 + 3 }
    book.transaction(() => {
      book.appendInput(settingsInput(1, T0, 'Before'))
      book.appendInput(pack(2, [reading(2)]))
      book.appendInput({ type: 'closingBegun', seq: 3, atMs: T0 + 3, receivedMs: T0 + 3, act })
      book.appendInput(deadline(4))
      book.appendInput(pack(5, [reading(5)]))
      book.appendInput(deadline(6))
    })
    snapshot(book, 6)
    book.transaction(() => book.pruneReadings(T0 + 3_000))
    expect(pruneAll('inputs', T0 + 1e9)).toEqual({ gone: 2, steps: 2 })
    // 5 still has its reading; 6 is the newest.
    expect(column('SELECT seq FROM input ORDER BY seq')).toEqual([1, 3, 5, 6])
    expect([...book.inputsAfter(0)].map((i) => i.seq)).toEqual([1, 3, 5, 6])
    book.transaction(() => book.appendInput(deadline(7)))
    expect(book.lastSeq()).toBe(7)
    expect(book.history.ordersFrom(T0 + 1e9)).toMatchObject([{ type: 'settings', seq: 1 }])
  })

  it('OLD-1 a pack that was passed while one of its readings was held goes once that has gone', () => {
    const { book, column, pruneAll } = bench()
    const act = { actorId: 'ana', via: 'screen' as const, atMs: T0 + 3 }
    book.transaction(() => {
      book.appendInput(pack(1, [reading(1)]))
      // Its node's clock ran ahead.
      book.appendInput(pack(2, [reading(2), reading(9, 1, 'z/z')]))
      book.appendInput({ type: 'closingBegun', seq: 3, atMs: T0 + 3, receivedMs: T0 + 3, act })
      book.appendInput(pack(4, [reading(4)]))
      book.appendInput(deadline(5))
      book.appendInput(deadline(6))
    })
    snapshot(book, 6)
    book.transaction(() => book.pruneReadings(T0 + 5_000))
    expect(pruneAll('inputs', T0 + 1e9, 2)).toEqual({ gone: 3, steps: 4 })
    expect(pruneAll('inputs', T0 + 1e9, 2)).toMatchObject({ gone: 0 })
    expect(column('SELECT seq FROM input ORDER BY seq')).toEqual([2, 3, 6])
    book.transaction(() => book.pruneReadings(T0 + 10_000))
    expect(pruneAll('inputs', T0 + 1e9, 2)).toMatchObject({ gone: 1 })
    expect(column('SELECT seq FROM input ORDER BY seq')).toEqual([3, 6])
    expect(pruneAll('inputs', T0 + 1e9, 2)).toEqual({ gone: 0, steps: 1 })
  })

  it('OLD-1 nothing after the snapshot of the kernel goes, however old: a restart replays it', () => {
    const { book, column, pruneAll } = bench()
    book.transaction(() => [1, 2, 3, 4].forEach((seq) => book.appendInput(deadline(seq))))
    expect(pruneAll('inputs', T0 + 1e9).gone).toBe(0)
    snapshot(book, 2)
    expect(pruneAll('inputs', T0 + 1e9).gone).toBe(2)
    expect(column('SELECT seq FROM input')).toEqual([3, 4])
  })

  it('OLD-1 it ends at the first input that is young enough, and goes on from there the next time', () => {
    const { book, column, pruneAll } = bench()
    book.transaction(() => {
      for (let seq = 1; seq <= 100; seq++)
        book.appendInput({ type: 'deadline', seq, atMs: T0 + seq, receivedMs: T0 + seq })
    })
    snapshot(book, 100)
    expect(pruneAll('inputs', T0 + 31, 7)).toMatchObject({ gone: 30 })
    expect(column('SELECT min(seq) FROM input')).toEqual([31])
    expect(pruneAll('inputs', T0 + 31, 7)).toEqual({ gone: 0, steps: 1 })
    expect(pruneAll('inputs', T0 + 61, 7)).toMatchObject({ gone: 30 })
  })

  const fill: Readonly<Record<Exclude<PruneKind, 'inputs'>, readonly string[]>> = {
    events: [
      `INSERT INTO event (id, at_ms, kind, json) VALUES (1, 10, 'alarm', '{}'), (2, 100, 'alarm', '{}'), (3, 20, 'alarm', '{}')`,
    ],
    messages: [
      `INSERT INTO message_outbox (id, idempotency_key, channel, replace_key, json, queued_ms, delivered_ms, replaced) VALUES
       (1, 'a', 'c', 'r', '{}', 10, 10, 0), (2, 'b', 'c', 'r', '{}', 10, NULL, 1), (3, 'c', 'c', 'r', '{}', 10, NULL, 0), (4, 'd', 'c', 'r', '{}', 10, 100, 0)`,
    ],
    notices: [
      `INSERT INTO notice (id, key, contact_id, topic, queued_ms, replaced, settled_ms, json) VALUES
       (1, 'a', 'c', 't', 10, 0, 10, '{}'), (2, 'b', 'c', 't', 10, 1, NULL, '{}'), (3, 'c', 'c', 't', 10, 0, NULL, '{}'), (4, 'd', 'c', 't', 10, 0, 100, '{}')`,
    ],
    deliveries: [
      `INSERT INTO notice (id, key, contact_id, topic, queued_ms, json) VALUES (1, 'held', 'c', 't', 10, '{}')`,
      `INSERT INTO delivery (id, notice_key, contact_id, channel, target_id, state, next_ms) VALUES
       (1, 'gone', 'c', 'push', 'd', 'taken', 10), (2, 'gone', 'c', 'push', 'e', 'waiting', 10), (3, 'held', 'c', 'push', 'd', 'taken', 10), (4, 'gone', 'c', 'push', 'f', 'dead', 100)`,
    ],
    conflicts: [
      `INSERT INTO series VALUES (1, 'a', 'humidity'), (2, 'b', 'humidity')`,
      `INSERT INTO conflict VALUES (1, 10, 5, 10), (1, 100, 5, 100), (2, 10, 5, 10)`,
    ],
    sessions: [
      `INSERT INTO person (id, name, role, created_ms) VALUES ('ana', 'Ana', 'owner', 1)`,
      `INSERT INTO session VALUES ('a', 'ana', 1, 1, 10), ('b', 'ana', 1, 1, 100)`,
    ],
    signInCodes: [`INSERT INTO sign_in_code VALUES ('a', 'signIn', 'ana', 10), ('b', 'signIn', 'ana', 100)`],
    answers: [
      `INSERT INTO sent_once (caller_id, key, asked_hash, begun_ms) VALUES ('ana', 'a', 'h', 10), ('ana', 'b', 'h', 100)`,
    ],
  }
  const left: Readonly<Record<keyof typeof fill, readonly [string, readonly unknown[]]>> = {
    // The newest event stays, though it is old: numbers go on from it.
    events: ['SELECT id FROM event ORDER BY id', [2, 3]],
    messages: ['SELECT id FROM message_outbox ORDER BY id', [3, 4]],
    notices: ['SELECT id FROM notice ORDER BY id', [3, 4]],
    deliveries: ['SELECT id FROM delivery ORDER BY id', [2, 3, 4]],
    conflicts: ['SELECT at_ms FROM conflict', [100]],
    sessions: ['SELECT token_hash FROM session', ['b']],
    signInCodes: ['SELECT code_hash FROM sign_in_code', ['b']],
    answers: ['SELECT key FROM sent_once', ['b']],
  }
  it.each(PRUNE_KINDS.filter((kind) => kind !== 'inputs'))(
    'OLD-2 to OLD-5 of %s the old ones go, one at a time, and what waits or is young stays',
    (kind) => {
      const { db, column, pruneAll } = bench()
      fill[kind].forEach((sql) => db.exec(sql))
      expect(pruneAll(kind, 50, 1).gone).toBeGreaterThan(0)
      const [sql, rows] = left[kind]
      expect(column(sql)).toEqual(rows)
      expect(pruneAll(kind, 50)).toEqual({ gone: 0, steps: 1 })
    },
  )

  it('the oldest raw reading is told over all series', () => {
    const { book, pruner } = bench()
    expect(pruner.oldestReadingMs()).toBeNull()
    book.transaction(() =>
      book.appendInput(pack(1, [reading(3, 1, 'a/a'), reading(5), reading(9, 1, 'z/z')])),
    )
    expect(pruner.oldestReadingMs()).toBe(reading(3).atMs)
  })
})
