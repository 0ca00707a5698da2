import { FUZZ_TARGETS, fuzz } from '../parts/fuzz-targets.ts'

/**
 * `npm run fuzz [cases]`: a million cases, split over every reader of what comes from outside. Prints a table; ends with 1
 * and fast-check's own words (seed, path, smallest case) when a law is broken.
 */
const cases = Number(process.argv[2] ?? 1_000_000)
if (!Number.isInteger(cases) || cases < FUZZ_TARGETS.length) {
  throw new RangeError(
    `cases must be a whole number of at least ${FUZZ_TARGETS.length}, got ${process.argv[2]}`,
  )
}
const shares = FUZZ_TARGETS.reduce((sum, { share }) => sum + share, 0)

console.log('| reader | cases | outcomes | cases/s |\n| --- | --- | --- | --- |')
for (const target of FUZZ_TARGETS) {
  const each = Math.ceil((cases * target.share) / shares)
  const begun = performance.now()
  try {
    const reached = await fuzz(target, { cases: each })
    const rate = Math.round(each / ((performance.now() - begun) / 1000))
    const outcomes = Object.entries(reached).map(([outcome, times]) => `${times} ${outcome}`)
    console.log(`| ${target.name} | ${each} | ${outcomes.join(', ')} | ${rate} |`)
  } catch (error) {
    console.log(`| ${target.name} | FAILED | | |`)
    console.error(error instanceof Error ? error.message : error)
    process.exitCode = 1
  }
}
