import type { Clock } from '../core/model/ports/clock.ts'
import type { NoticeStore } from '../core/model/ports/notice-store.ts'
import type { PruneKind, Pruner } from '../core/model/ports/pruning.ts'
import type { BookOfRecord, RecordsReader } from '../core/model/ports/records.ts'
import { READINGS_KEPT_MS } from '../core/model/readings-kept.ts'
import type { Log } from './log.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** A late reading is rebuilt from a snapshot this old at most. */
const SNAPSHOTS_KEPT_MS = 73 * HOUR_MS
/** How long each is kept. Starting values, but for inputs: a day more than readings, so that a pack outlives its readings. */
export const KEPT_MS: Readonly<Record<PruneKind | 'readings', number>> = {
  readings: READINGS_KEPT_MS,
  inputs: READINGS_KEPT_MS + DAY_MS,
  conflicts: READINGS_KEPT_MS,
  notices: READINGS_KEPT_MS,
  deliveries: READINGS_KEPT_MS,
  events: 90 * DAY_MS,
  messages: 30 * DAY_MS,
  sessions: 0,
  signInCodes: 0,
  answers: DAY_MS,
}
const KINDS = [
  'conflicts',
  'inputs',
  'events',
  'messages',
  'notices',
  'deliveries',
  'sessions',
  'signInCodes',
  'answers',
] as const
/** Made and judged by the wall clock. */
const BY_WALL: readonly PruneKind[] = ['sessions', 'signInCodes', 'answers']
/** Rows in one transaction: some ten milliseconds. */
const ROWS_AT_ONCE = 2_000
/** Event time in one transaction. */
const READINGS_AT_ONCE_MS = 6 * HOUR_MS

export interface PruneParts {
  readonly book: Pick<BookOfRecord, 'transaction' | 'pruneSubjectSnapshots' | 'pruneReadings'>
  readonly pruner: Pruner
  readonly notices: Pick<NoticeStore, 'pruneBefore'>
  readonly reader: Pick<RecordsReader, 'heardSensors'>
  readonly clock: Clock
  /** The wall clock, by which people's ways in are made; the monitor's runs fast in a demo. */
  readonly wallNowMs?: () => number
  readonly log: Pick<Log, 'info'>
  readonly keptMs?: Readonly<Record<PruneKind | 'readings', number>>
  /** Does a second store still wait for readings? */
  readonly awaited?: () => boolean
  /** Asked between two transactions: no more of it now. */
  readonly stopped?: () => boolean
}

/**
 * Throws away what has grown too old.
 *
 * PRUNE-1 in small transactions with a turn for all else between them, so that no reading waits for it.
 * PRUNE-2 nothing while the clock is in doubt. And age is told from the newest reading, at most a day after it, where the
 *         clock says more: a clock that is years ahead at the start must not cost the past. A shop that measures nothing
 *         grows by nothing.
 * PRUNE-3 what is thrown away leaves room in the file that is used again (SQLite's free pages): the file stays as large as
 *         it was at most. It is not made smaller while it serves.
 * PRUNE-4 readings that a second store has not taken yet, such as years brought from a file, stay until it has.
 * PRUNE-5 ways in and answers given once are of the wall clock, since they were made by it.
 */
export async function pruneOld(parts: PruneParts): Promise<void> {
  const { book, pruner, notices, clock, log, keptMs = KEPT_MS, stopped = () => false } = parts
  const wallMs = (parts.wallNowMs ?? Date.now)()
  const isAwaited = parts.awaited?.() === true
  if ((clock.doubt?.() ?? null) !== null) return
  const nowMs = believedNowMs(parts)
  const gone = new Map<string, number>()
  const step = async (kind: string, work: () => { gone: number; done: boolean }): Promise<void> => {
    for (let done = false; !done && !stopped();) {
      const result = book.transaction(work)
      if (result.gone > 0) gone.set(kind, (gone.get(kind) ?? 0) + result.gone)
      done = result.done
      await new Promise((resolve) => setImmediate(resolve))
    }
  }
  await step('snapshots', () => {
    book.pruneSubjectSnapshots(nowMs - SNAPSHOTS_KEPT_MS)
    notices.pruneBefore(nowMs - keptMs.notices)
    return { gone: 0, done: true }
  })
  const readingsEndMs = isAwaited ? -Infinity : nowMs - keptMs.readings
  let beforeMs = pruner.oldestReadingMs() ?? readingsEndMs
  await step('readings', () => {
    beforeMs = Math.min(beforeMs + READINGS_AT_ONCE_MS, readingsEndMs)
    return { gone: book.pruneReadings(beforeMs), done: beforeMs >= readingsEndMs }
  })
  for (const kind of KINDS.filter((k) => k !== 'inputs' || !isAwaited))
    await step(kind, () =>
      pruner.prune(kind, {
        beforeMs: (BY_WALL.includes(kind) ? wallMs : nowMs) - keptMs[kind],
        most: ROWS_AT_ONCE,
      }),
    )
  if (gone.size > 0) log.info(Object.fromEntries(gone), 'what had grown too old was thrown away')
}

function believedNowMs({ clock, reader }: PruneParts): number {
  const newestMs = Math.max(-Infinity, ...reader.heardSensors().map((h) => h.atMs))
  return newestMs === -Infinity ? clock.nowMs() : Math.min(clock.nowMs(), newestMs + DAY_MS)
}
