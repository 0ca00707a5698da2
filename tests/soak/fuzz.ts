import { fuzzRoutes } from '../parts/fuzz-routes.ts'
import { FUZZ_TARGETS, fuzz } from '../parts/fuzz-targets.ts'
import { openWebShop } from '../parts/web-shop.ts'

/**
 * `npm run fuzz [cases]`: a million cases, split over every reader of what comes from outside and every route. Prints a
 * table; ends with 1 and fast-check's own words (seed, path, smallest case) when a law is broken.
 */
type Reached = Readonly<Record<string, number>>

const cases = Number(process.argv[2] ?? 1_000_000)
if (!Number.isInteger(cases) || cases < FUZZ_TARGETS.length) {
  throw new RangeError(
    `cases must be a whole number of at least ${FUZZ_TARGETS.length}, got ${process.argv[2]}`,
  )
}
/** A case of these goes through the whole app and its book of record. */
const ROUTES_SHARE = 0.1
const shares = FUZZ_TARGETS.reduce((sum, { share }) => sum + share, ROUTES_SHARE)

console.log('| reader | cases | outcomes | cases/s |\n| --- | --- | --- | --- |')
for (const target of FUZZ_TARGETS)
  await run(target.name, target.share, (each) => fuzz(target, { cases: each }))
await run('routes', ROUTES_SHARE, async (each) => {
  const shop = await openWebShop()
  try {
    return Object.fromEntries(await fuzzRoutes(shop, { cases: each }))
  } finally {
    await shop.close()
  }
})

async function run(
  name: string,
  share: number,
  reach: (cases: number) => Reached | Promise<Reached>,
): Promise<void> {
  const each = Math.ceil((cases * share) / shares)
  const begun = performance.now()
  try {
    const reached = await reach(each)
    const rate = Math.round(each / ((performance.now() - begun) / 1000))
    const outcomes = Object.entries(reached).map(([outcome, times]) => `${times} ${outcome}`)
    console.log(`| ${name} | ${each} | ${outcomes.join(', ')} | ${rate} |`)
  } catch (error) {
    console.log(`| ${name} | FAILED | | |`)
    console.error(error instanceof Error ? error.message : error)
    process.exitCode = 1
  }
}
