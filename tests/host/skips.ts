/** A test that was skipped, and the reason that it gave. */
export interface SkippedTest {
  readonly file: string
  readonly test: string
  readonly reason: string | null
}

/** Reasons for which a skip is right even under CI: what a place may not be able to have. */
export const PLACE_CANNOT_HAVE = [
  'only root may mount a disk',
  'no container engine',
  'NIGHTCAP_TEST_INFLUX_URL is not set',
] as const

/**
 * Tells two kinds of skip apart: what the place cannot have, which stands on the list above, and what could have been
 * installed, which under CI is a failure. A skip without a reason always is.
 */
export function judgeSkips(
  skipped: readonly SkippedTest[],
  { ci }: { ci: boolean },
): { lines: readonly string[]; failures: number } {
  let failures = 0
  const lines = skipped.map(({ file, test, reason }) => {
    const allowed = reason !== null && PLACE_CANNOT_HAVE.some((r) => reason.startsWith(r))
    const fails = !allowed && (ci || reason === null)
    if (fails) failures++
    return `${fails ? 'FAILED skip' : 'skipped'}  ${file} > ${test}: ${reason ?? 'gave no reason'}`
  })
  return { lines, failures }
}
