import type { Database } from 'better-sqlite3'
import type { BookOfRecord } from '../../core/model/ports/records.ts'
import { createAlarmsAndTasks } from './alarms-and-tasks.ts'
import { createCounters } from './counters.ts'
import { createDisposalTable } from './disposals.ts'
import { createEffectWriter } from './effects.ts'
import { createEpisodeTable } from './episodes.ts'
import { createEvents } from './events.ts'
import { createHeardSensors } from './heard-sensors.ts'
import { createSubjectHistory } from './history.ts'
import { createInputLog } from './inputs.ts'
import { createLogEntryTable } from './log-entries.ts'
import { createMachineQuarterTable } from './machine-quarters.ts'
import { createNoticeTable } from './notices.ts'
import { createOutbox } from './outbox.ts'
import { createQuarantine } from './quarantine.ts'
import { createReadingTable } from './readings.ts'
import { createRollupTable } from './rollups.ts'
import { createSeriesIds, type SeriesIds } from './series-ids.ts'
import { createKernelSnapshots, createSubjectSnapshots } from './snapshots.ts'

/** The book of record in an SQLite database that `openDatabase` opened; closing it closes the database. */
export function createSqliteBookOfRecord({ db }: { db: Database }): BookOfRecord {
  const ids = createSeriesIds(db)
  const counters = createCounters(db)
  const events = createEvents(db)
  const readings = createReadingTable(db, { ids, counters, rollups: createRollupTable(db) })
  const outbox = createOutbox(db)
  const quarters = createMachineQuarterTable(db)
  const notices = createNoticeTable(db)
  const disposals = createDisposalTable(db)
  const snapshots = createSubjectSnapshots(db)
  const episodes = createEpisodeTable(db)
  const work = createAlarmsAndTasks(db, events)
  const writeEffect = createEffectWriter({
    episodes,
    work,
    outbox,
    quarters,
    notices,
    disposals,
    logEntries: createLogEntryTable(db),
    snapshots,
    counters,
  })
  return {
    transaction: createTransaction(db, ids),
    ...createInputLog(db, { readings, events }),
    sortReadings: readings.sortReadings,
    keepConflicts: readings.keepConflicts,
    pruneReadings: readings.pruneReadings,
    applyEffects: (seq, effects) => effects.forEach((effect) => writeEffect(effect, seq)),
    ...createKernelSnapshots(db),
    pruneSubjectSnapshots: snapshots.prune,
    ...createQuarantine(db, counters),
    ...createHeardSensors(db),
    lastAliveMs: () => counters.get('aliveMs'),
    noteAlive: (atMs) => counters.set('aliveMs', atMs),
    pendingMessages: outbox.pendingMessages,
    markMessage: outbox.markMessage,
    pendingNotices: notices.pendingNotices,
    settleNotice: notices.settleNotice,
    forwardedSeq: () => counters.get('forwardedSeq') ?? 0,
    noteForwarded: (seq) => counters.set('forwardedSeq', Math.max(seq, counters.get('forwardedSeq') ?? 0)),
    history: createSubjectHistory(db, readings),
    close: () => void db.close(),
  }
}

function createTransaction(db: Database, ids: SeriesIds): BookOfRecord['transaction'] {
  const run = db.transaction((work: () => unknown) => work())
  return <T>(work: () => T): T => {
    try {
      return run.immediate(work) as T
    } catch (error) {
      ids.forget()
      throw error
    }
  }
}
