import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { cpuUsage } from 'node:process'
import { createSqliteNightStore } from '../../services/adapters/records-sqlite/create-night-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import type { NightExposure, StoredNight } from '../../services/core/model/night-exposure.ts'
import { causesOf } from '../../services/core/study/causes.ts'
import { outcomesOf } from '../../services/core/study/clogs.ts'
import { EXPOSURES } from '../../services/core/study/exposure.ts'
import { joinNights } from '../../services/core/study/nights.ts'
import { LIMITS } from '../scorecard/clog-pages.ts'
import { simulateClogShop } from '../scorecard/clog-shops.ts'

const ROUNDS = 9

/**
 * The page of five machines and three years (two channel groups each), without resampling, from nights as they are
 * stored: read from SQLite, put together with what checks said, and counted. Beside it, as the anchor, the same rows
 * read from the same file and every exposure summed. Both are told in milliseconds of processor time: on a shared
 * machine the clock on the wall tells what the others do.
 */
export function causesBench() {
  const { exposures, checks } = simulateClogShop({
    machines: 5,
    days: 1095,
    clogShare: 0.006,
    dryFactor: 1.5,
    seed: 1,
  })
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-causes-bench-'))
  const db = openDatabase({ dataDir })
  const store = createSqliteNightStore({ db })
  store.renew({
    modelVersion: VERSION,
    throughSeq: 1,
    nowMs: 1,
    replaced: [],
    nights: exposures.map(toStored),
  })
  const page = (): number =>
    causesOf(joinNights(store.nights(VERSION), outcomesOf(checks)), { limits: LIMITS, resampling: null })
      .tests.length
  const anchor = (): number =>
    store.nights(VERSION).reduce((sum, night) => EXPOSURES.reduce((s, e) => s + (night[e] ?? 0), sum), 0)
  try {
    return [
      {
        what: `Causes, 5 machines, 3 years, ${exposures.length} nights from SQLite, without resampling (at most 300 ms)`,
        ours: medianCpuMs(page),
        anchor: medianCpuMs(anchor),
        unit: 'ms',
        aim: null,
      },
    ]
  } finally {
    db.close()
    rmSync(dataDir, { recursive: true })
  }
}

const VERSION = 'bench'

function toStored(night: NightExposure): StoredNight {
  const fromMs = Date.parse(`${night.nightOf}T18:00:00Z`)
  return {
    ...night,
    machineId: night.headId,
    modelVersion: VERSION,
    fromMs,
    toMs: fromMs + 14 * 3_600_000,
  }
}

function medianCpuMs(run: () => number): number {
  const took = Array.from({ length: ROUNDS }, () => {
    const before = cpuUsage()
    run()
    const { user, system } = cpuUsage(before)
    return (user + system) / 1000
  }).sort((a, b) => a - b)
  return took[Math.floor(ROUNDS / 2)] ?? NaN
}
