/**
 * The scorecard: does the product say in time, and without crying wolf, that a head will dry or a bottle will overflow?
 * `npm run scorecard -- --set tuning|final --shops 200` writes its table into services/core/README.md; the same set and
 * number give the same table. `--from 31` leaves out the first 30, to look at a finding again; `--minutes 75` begins no
 * further shop after that time, and the table is of those that were begun, which `--shops` of their number gives again.
 */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { Worker } from 'node:worker_threads'
import { build } from 'esbuild'
import { format, resolveConfig } from 'prettier'
import { promisesOf } from './promises.ts'
import type { Finding, ShopScore } from './score-shop.ts'
import { scoreTable, withTable } from './score-table.ts'
import { SCORED_DAYS, SHOP_SETS, type ShopSet } from './shop-sets.ts'
import { tallyOf, type Tally } from './tally.ts'

const README = fileURLToPath(new URL('../../services/core/README.md', import.meta.url))
const WORKER = fileURLToPath(new URL('score-worker.ts', import.meta.url))
/** Beside the project's other built files, so that it finds its packages. */
const BUILT = fileURLToPath(new URL(`../../.build/scorecard/worker-${process.pid}.mjs`, import.meta.url))
const SHOPS = 200
const SHOWN_FINDINGS = 40

const { values } = parseArgs({
  options: {
    set: { type: 'string', default: 'tuning' },
    shops: { type: 'string', default: String(SHOPS) },
    from: { type: 'string', default: '1' },
    findings: { type: 'boolean', default: false },
    minutes: { type: 'string' },
    'no-write': { type: 'boolean', default: false },
  },
})
const { set } = values
if (!isSet(set)) throw new RangeError(`--set must be ${Object.keys(SHOP_SETS).join(' or ')}, got ${set}`)
const shops = Number(values.shops)
if (!(Number.isInteger(shops) && shops > 0))
  throw new RangeError(`--shops must be a count, got ${values.shops}`)
const first = Number(values.from)
if (!(Number.isInteger(first) && first > 0))
  throw new RangeError(`--from must be a number from 1 on, got ${values.from}`)
const minutes = Number(values.minutes ?? Infinity)
if (!(minutes > 0)) throw new RangeError(`--minutes must be more than 0, got ${values.minutes}`)
if (first > 1 && !values['no-write'])
  throw new RangeError('--from needs --no-write: the table is of whole sets')

const beganMs = performance.now()
const tally = tallyOf(await scoreShops(set, { first, count: shops }))
const promises = promisesOf(tally)
const table = scoreTable(tally, promises, { set, days: SCORED_DAYS })
process.stdout.write(`${table}\n\n${Math.round((performance.now() - beganMs) / 1000)} s\n`)
if (values.findings) process.stdout.write(findingsText(tally))
if (!values['no-write']) await writeTable()
if (promises.some((p) => !p.kept)) process.exitCode = 1

async function writeTable(): Promise<void> {
  const options = { ...(await resolveConfig(README)), filepath: README }
  writeFileSync(README, await format(withTable(readFileSync(README, 'utf8'), table), options))
}

function isSet(name: string): name is ShopSet {
  return Object.hasOwn(SHOP_SETS, name)
}

interface Which {
  /** The first of them, counted from 1. */
  readonly first: number
  readonly count: number
}

/** Bundled, since code that is translated as it runs is slower by half. */
async function scoreShops(name: ShopSet, which: Which): Promise<ShopScore[]> {
  mkdirSync(fileURLToPath(new URL('../../.build/scorecard', import.meta.url)), { recursive: true })
  await build({
    entryPoints: [WORKER],
    outfile: BUILT,
    bundle: true,
    platform: 'node',
    format: 'esm',
    packages: 'external',
    logLevel: 'error',
  })
  try {
    return await shareOut(name, which)
  } finally {
    rmSync(BUILT, { force: true })
  }
}

function shareOut(name: ShopSet, { first, count }: Which): Promise<ShopScore[]> {
  const scores = new Map<number, ShopScore>()
  let next = first - 1
  const begins = next
  const isLast = (): boolean => next >= begins + count || performance.now() - beganMs > minutes * 60_000
  return new Promise((resolve, reject) => {
    const workers = Array.from({ length: Math.min(count, availableParallelism()) }, () => {
      const worker = new Worker(BUILT, { workerData: { set: name } })
      let n = next++
      worker.on('error', reject)
      worker.on('message', (score: ShopScore) => {
        scores.set(n, score)
        process.stderr.write(`\r${scores.size} of ${count} shops`)
        if (!isLast()) worker.postMessage((n = next++))
        else if (scores.size === next - begins) {
          process.stderr.write('\n')
          for (const w of workers) void w.terminate()
          // In their order, whichever worker was quicker.
          resolve([...scores].sort(([a], [b]) => a - b).map(([, s]) => s))
        }
      })
      worker.postMessage(n)
      return worker
    })
  })
}

/** What went wrong, with the seed that shows it again. */
function findingsText({
  rows,
  falseNightFindings,
  disturbedScaleAlarms,
  unknownCleaningCalls,
}: Tally): string {
  const lines = (title: string, list: readonly Finding[]): string[] =>
    list.slice(0, SHOWN_FINDINGS).map((f) => {
      const lasted = Number.isFinite(f.lastedMs) ? `${(f.lastedMs / 60_000).toFixed(0)} min` : 'open'
      return `${title} ${f.condition} seed ${f.seed} ${f.subject} ${new Date(f.atMs).toISOString()} ${lasted}`
    })
  return [
    ...rows.flatMap((r) => [...lines('missed', r.misses), ...lines('false', r.falseFindings)]),
    ...lines('false call', falseNightFindings),
    ...lines('disturbed scale', disturbedScaleAlarms),
    ...lines('unknown cleaning', unknownCleaningCalls),
    '',
  ].join('\n')
}
