import { createSqliteNightStore } from '../adapters/records-sqlite/create-night-store.ts'
import { createSqliteRecordsReader } from '../adapters/records-sqlite/create-records-reader.ts'
import { openReadOnly } from '../adapters/records-sqlite/open-read-only.ts'
import type { CausesQuestion, CausesView } from '../core/model/causes-view.ts'
import type { KeptVerdict, NightRenewal, NightStore } from '../core/model/ports/night-store.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { StoredNight } from '../core/model/night-exposure.ts'
import type { Settings } from '../core/model/settings.ts'
import { causesPage, verdictsToFreeze } from '../core/study/causes-page.ts'
import { nightModelVersion } from '../core/study/night-exposure.ts'
import { nightsTable, type TableCell } from '../core/study/nights-table.ts'
import { renewNights, settingsPast } from '../core/study/renew-nights.ts'
import { shopNights } from '../core/study/shop-nights.ts'
import { shopSeries, type ShopSeries } from '../core/study/shop-series.ts'
import type { ThreadWork } from './work-thread.ts'

/** What is to be worked out, beside the nights that are stale: nothing or a month's verdicts, a page, or the table. */
export type CausesJob = { readonly nowMs: number } & (
  | { readonly kind: 'daily'; readonly freeze: MonthToFreeze | null }
  | { readonly kind: 'page'; readonly question: CausesQuestion }
  | { readonly kind: 'table' }
)

export interface MonthToFreeze {
  /** `2026-03` */
  readonly month: string
  /** The first day after it, in days since 1970-01-01. */
  readonly fromDay: number
}

/** What the work says while it goes on. */
export type CausesWord =
  | { readonly type: 'progress'; readonly share: number; readonly doing: string }
  /** To be written by the one who may write. */
  | { readonly type: 'renewed'; readonly renewal: NightRenewal }
  | { readonly type: 'verdicts'; readonly verdicts: readonly KeptVerdict[] }
  | { readonly type: 'page'; readonly page: CausesView }
  | { readonly type: 'table'; readonly rows: readonly (readonly TableCell[])[] }

export interface CausesWorkParts {
  readonly reader: RecordsReader
  readonly store: NightStore
  readonly say: (word: CausesWord) => void
}

/** One piece of work of Causes, on one picture of the database that can only be read. */
export const causesWork: ThreadWork<CausesJob, CausesWord> = (job, { dataDir, say }) => {
  const db = openReadOnly({ dataDir })
  try {
    const reader = createSqliteRecordsReader({ db })
    const store = createSqliteNightStore({ db })
    db.transaction(() => runCausesWork(job, { reader, store, say }))()
  } finally {
    db.close()
  }
}

/** The work itself, wherever it runs. It reads only: what it finds is said, and written by the monitor. */
export function runCausesWork(job: CausesJob, { reader, store, say }: CausesWorkParts): void {
  const { nowMs } = job
  const renewal = renewNights({
    reader,
    store,
    nowMs,
    progress: (share) => say({ type: 'progress', share: 0.3 * share, doing: 'Looking through the nights' }),
  })
  if (!renewal) return
  say({ type: 'renewed', renewal })
  if (job.kind === 'daily' && job.freeze === null) return
  const past = settingsPast(reader)
  const settings = past.at(-1)?.settings
  if (!settings) return
  const window = { fromMs: 0, toMs: nowMs + 1 }
  const shop = shopSeries({
    nights: renewedNights(store, renewal),
    shopNights: shopNights(past, nowMs),
    checks: reader.nozzleChecks(window),
    headChanges: reader.headChanges(window),
  })
  if (job.kind === 'table') return say({ type: 'table', rows: nightsTable(shop) })
  if (job.kind === 'daily') {
    const verdicts = monthVerdicts(shop, settings, { ...job, freeze: job.freeze })
    return say({ type: 'verdicts', verdicts })
  }
  const page = causesPage({
    shop,
    settings,
    frozen: store.frozen(),
    question: job.question,
    nowMs,
    progress: (share) => say({ type: 'progress', share: 0.3 + 0.7 * share, doing: 'Exchanging weeks' }),
  })
  say({ type: 'page', page })
}

/** What the store will hold when the renewal is written. */
function renewedNights(store: NightStore, { modelVersion, replaced, nights }: NightRenewal): StoredNight[] {
  const old = new Set(replaced.map((r) => `${r.machineId} ${r.nightOf}`))
  return [...store.nights(modelVersion).filter((n) => !old.has(`${n.machineId} ${n.nightOf}`)), ...nights]
}

function monthVerdicts(
  shop: ShopSeries,
  settings: Settings,
  { freeze, nowMs }: { freeze: MonthToFreeze | null; nowMs: number },
): KeptVerdict[] {
  if (freeze === null) return []
  const modelVersion = nightModelVersion(settings.limits)
  return verdictsToFreeze(shop, settings, freeze.fromDay).map(({ verdict }) => ({
    ...freeze,
    frozenMs: nowMs,
    modelVersion,
    verdict,
  }))
}
