import type { Database } from 'better-sqlite3'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteNightStore } from '../../services/adapters/records-sqlite/create-night-store.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { NightStore } from '../../services/core/model/ports/night-store.ts'
import type { BookOfRecord, RecordsReader } from '../../services/core/model/ports/records.ts'
import type { MachineQuarter } from '../../services/core/model/quarter.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { renewNights } from '../../services/core/study/renew-nights.ts'

/** A real book of record that is filled by hand, with the nights that are worked out of it. */
export interface NightBook {
  readonly db: Database
  readonly book: BookOfRecord
  readonly reader: RecordsReader
  readonly store: NightStore
  /** Puts an input on the log, with effects that followed from it. */
  readonly take: (body: InputBody, effects?: readonly Effect[]) => void
  readonly settingsAt: (atMs: number, settings: Settings) => void
  /** Notes quarters as they follow from an input at `atMs`. */
  readonly note: (atMs: number, quarters: readonly MachineQuarter[]) => void
  /** Humidity or temperature once a minute. */
  readonly airFrom: (fromMs: number, toMs: number, air: { sensorId: string; value: number }) => void
  /** Renews, writes, and tells the dates that were worked out. */
  readonly renew: (nowMs: number) => readonly string[]
}

const MINUTE_MS = 60_000

export function openNightBook(dataDir: string): NightBook {
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const reader = createSqliteRecordsReader({ db })
  const store = createSqliteNightStore({ db })
  const take: NightBook['take'] = (body, effects = []) =>
    book.transaction(() => {
      const seq = book.lastSeq() + 1
      book.appendInput({ ...body, seq })
      book.applyEffects(seq, effects)
    })
  return {
    db,
    book,
    reader,
    store,
    take,
    settingsAt: (atMs, settings) =>
      take({
        type: 'settings',
        atMs,
        receivedMs: atMs,
        act: { actorId: 'owner', via: 'screen', atMs },
        settings,
      }),
    note: (atMs, quarters) =>
      take(
        { type: 'deadline', atMs, receivedMs: atMs },
        quarters.map((quarter) => ({ type: 'quarterNoted', quarter })),
      ),
    airFrom: (fromMs, toMs, { sensorId, value }) => {
      const quantity = sensorId.endsWith('temperature') ? 'temperature' : 'humidity'
      const count = Math.ceil((toMs - fromMs) / MINUTE_MS)
      const readings = Array.from(
        { length: count },
        (_, i) =>
          ({
            sensorId,
            quantity,
            atMs: fromMs + i * MINUTE_MS,
            value,
          }) as const,
      )
      take({ type: 'readings', atMs: toMs, receivedMs: toMs, nodeId: 'bench', readings })
    },
    renew: (nowMs) => {
      const renewal = renewNights({ reader, store, nowMs })
      if (!renewal) return []
      store.renew(renewal)
      return [...new Set(renewal.nights.map((n) => n.nightOf))]
    },
  }
}
