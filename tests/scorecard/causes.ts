/**
 * The scorecard of the hunt for causes: `npm run scorecard:causes`. Are the exact tests exact, do the intervals cover,
 * and does a page claim something where nothing was planted? It writes its table into services/core/README.md; the same
 * numbers of runs give the same table. `--no-write` prints it alone.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { format, resolveConfig } from 'prettier'
import { wilsonInterval } from '../../services/core/statistics/rate-interval.ts'
import { scoreExact } from './exact-truth.ts'
import { scoreRegression } from './regression-truth.ts'
import { scoreNullPages, scorePower, type PowerRow } from './verdict-truth.ts'

const README = fileURLToPath(new URL('../../services/core/README.md', import.meta.url))
const BEGIN = '<!-- causes:begin -->'
const END = '<!-- causes:end -->'
const SIZES = [
  [5, 10],
  [8, 30],
  [12, 12],
  [20, 20],
  [10, 60],
] as const

const { values } = parseArgs({
  options: {
    runs: { type: 'string', default: '5000' },
    pages: { type: 'string', default: '1000' },
    'power-pages': { type: 'string', default: '60' },
    draws: { type: 'string', default: '499' },
    'no-write': { type: 'boolean', default: false },
  },
})
const [runs, pages, powerPages, draws] = [
  countOf('runs', values.runs),
  countOf('pages', values.pages),
  countOf('power-pages', values['power-pages']),
  countOf('draws', values.draws),
]

const exact = scoreExact(SIZES)
told('exact tests done')
const regression = scoreRegression({ runs, nights: 250, intercept: -3, slope: 0.7, seed: 20_240_101 })
told('regression done')
const nothing = scoreNullPages(pages, { draws, seed: 200_000 })
told('pages without a cause done')
const power = [0.003, 0.006, 0.012, 0.025, 0.05].map((clogShare) => {
  const row = scorePower(powerPages, { draws, seed: 50_000, clogShare, dryFactor: 1.8 })
  told(`power at ${row.meanClogs.toFixed(0)} clogs done`)
  return row
})

const covered = wilsonInterval(regression.covered, regression.runs, 0.95)
const claiming = wilsonInterval(nothing.claiming, nothing.pages, 0.95)
const promises = [
  {
    says: 'exact tests find nothing in more than 5 % where nothing is',
    measured: `at most ${percent(exact.largestSize)} over ${exact.cases} cases, enumerated (mid-p: ${percent(exact.largestMidPSize)})`,
    kept: exact.largestSize <= 0.05,
  },
  {
    says: 'exact intervals of 95 % hold the true ratio at least as often',
    measured: `at least ${percent(exact.leastCoverage)} (mid-p: ${percent(exact.leastMidPCoverage)})`,
    kept: exact.leastCoverage >= 0.95,
  },
  {
    says: 'penalised regression intervals hold the true slope in 93.5 to 96.5 %',
    measured:
      `${shareText(regression.covered, regression.runs, covered)}, ${regression.meanHits.toFixed(1)} clogs each; ` +
      `${regression.lost} did not converge, ${regression.openEnds} had an open end`,
    kept: regression.covered / regression.runs >= 0.935 && regression.covered / regression.runs <= 0.965,
  },
  {
    says: 'where nothing was planted at most 5 % of pages claim something (upper bound under 7 %)',
    measured: `${shareText(nothing.claiming, nothing.pages, claiming)}, ${nothing.meanClogs.toFixed(0)} clogs each`,
    kept: nothing.claiming <= 0.05 * nothing.pages && claiming.high < 0.07,
  },
]
const table = [
  '| promise | measured | kept |',
  '| --- | --- | --- |',
  ...promises.map((p) => `| ${p.says} | ${p.measured} | ${p.kept ? 'yes' : '**no**'} |`),
  '',
  'Two machines for a year, clogs 1.8 times as probable for each standard deviation of the air towards dry:',
  '',
  '| new clogs, mean | pages that name dryness |',
  '| --- | --- |',
  ...power.map(powerLine),
].join('\n')
process.stdout.write(`${table}\n`)
if (!values['no-write']) await writeTable()
if (promises.some((p) => !p.kept)) process.exitCode = 1

async function writeTable(): Promise<void> {
  const text = readFileSync(README, 'utf8')
  const [from, to] = [text.indexOf(BEGIN), text.indexOf(END)]
  if (from < 0 || to < from) throw new RangeError(`${README} must hold ${BEGIN} and after it ${END}`)
  const written = `${text.slice(0, from + BEGIN.length)}\n\n${table}\n\n${text.slice(to)}`
  writeFileSync(README, await format(written, { ...(await resolveConfig(README)), filepath: README }))
}

function powerLine({ meanClogs, found, pages: of }: PowerRow): string {
  return `| ${meanClogs.toFixed(1)} | ${shareText(found, of, wilsonInterval(found, of, 0.95))} |`
}

function shareText(
  count: number,
  of: number,
  { low, high }: { readonly low: number; readonly high: number },
): string {
  return `${count} of ${of}, ${percent(count / of)} (${percent(low)} to ${percent(high)})`
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`
}

function told(what: string): void {
  process.stderr.write(`${what}, ${Math.round(performance.now() / 1000)} s\n`)
}

function countOf(name: string, text: string): number {
  const count = Number(text)
  if (!(Number.isInteger(count) && count > 0)) throw new RangeError(`--${name} must be a count, got ${text}`)
  return count
}
