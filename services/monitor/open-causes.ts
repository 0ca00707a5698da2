import type { Database } from 'better-sqlite3'
import { createSqliteNightStore } from '../adapters/records-sqlite/create-night-store.ts'
import { createCausesDesk, type CausesDesk, type CausesDeskParts } from './causes-desk.ts'
import type { CausesWord } from './causes-work.ts'
import { startWorkThread } from './work-thread.ts'

/** Causes over the monitor's own database: read in a thread of its own, written here. */
export function openCauses({
  dataDir,
  db,
  ...parts
}: Pick<CausesDeskParts, 'engine' | 'clock' | 'log'> & { dataDir: string; db: Database }): CausesDesk {
  return createCausesDesk({
    ...parts,
    store: createSqliteNightStore({ db }),
    run: (job, hear) => startWorkThread<CausesWord>({ kind: 'causes', dataDir, job }, { hear }),
  })
}
