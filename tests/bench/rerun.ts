import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { openPast } from '../../services/adapters/records-sqlite/open-past.ts'
import { vapourPressureDeficitKpa } from '../../services/core/physics/air.ts'
import { rerunSpan, rerunWith } from '../../services/core/study/rerun/rerun.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'
import { benchInputs } from './kernel.ts'

const READINGS = 400_000
const HOUR_MS = 3_600_000

/**
 * The whole re-run of a stored past: read from SQLite, through the kernel, gathered; every reading, and of each minute
 * the last one. Against a loop that only computes the vapour pressure deficit.
 */
export function rerunBench() {
  const folders = createTemporaryFolders()
  const dataDir = folders.make()
  const db = openDatabase({ dataDir })
  const book = createSqliteBookOfRecord({ db })
  const inputs = benchInputs(READINGS)
  book.transaction(() => inputs.forEach(book.appendInput))
  db.close()
  const past = openPast({ dataDir })
  const toMs = (inputs.at(-1)?.receivedMs ?? 0) + HOUR_MS
  const ran = (grain: 'readings' | 'minutes') => {
    const span = rerunSpan(past, { fromMs: 0, toMs, grain })
    if (!span) throw new Error('the bench has no past')
    const began = performance.now()
    const { readings } = rerunWith(past, { span, limit: 'airDryPct.openBelow', value: 41 })
    const tookS = (performance.now() - began) / 1000
    return { readings, tookS }
  }
  const began = performance.now()
  let read = 0
  for (const input of past.inputs({ fromMs: 0, toMs, minutesUntilMs: -Infinity })) {
    if (input.type === 'readings') read += input.readings.length
  }
  const readS = (performance.now() - began) / 1000
  const raw = ran('readings')
  const minutes = ran('minutes')
  past.close()
  folders.removeAll()
  const anchor = anchorRate()
  console.log(
    `re-run: ${read} readings read alone at ${Math.round(read / readS)}/s; out of minutes ${minutes.readings} readings in ${minutes.tookS.toFixed(1)} s, the same past out of every reading in ${raw.tookS.toFixed(1)} s`,
  )
  return [
    {
      what: 're-run from SQLite through the whole kernel, against a loop that only computes VPD',
      ours: raw.readings / raw.tookS,
      anchor,
      unit: 'readings/s',
      aim: null,
    },
  ]
}

function anchorRate(): number {
  const began = performance.now()
  let sum = 0
  for (let i = 0; i < READINGS; i++)
    sum += vapourPressureDeficitKpa({ temperatureC: 21, humidityPct: 30 + (i % 40) })
  if (sum === 0) throw new Error('the bench did nothing')
  return (READINGS / (performance.now() - began)) * 1000
}
