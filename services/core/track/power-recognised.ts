/** A logged cleaning and one that the meter saw within this time of each other are the same. */
export const SAME_CLEANING_MS = 30 * 60_000
/** So many logged cleanings must have been recognised before a cleaning that is missing means anything. */
export const RECOGNISED_AT = 5

/**
 * How many logged cleanings the meter saw too. Each cleaning that was seen stands for one log at most.
 *
 * @param loggedMs when each was logged, oldest first
 * @param seen what the meter saw, oldest first
 */
export function recognisedCount(
  loggedMs: readonly number[],
  seen: readonly { readonly fromMs: number; readonly toMs: number }[],
): number {
  let count = 0
  let at = 0
  for (const atMs of loggedMs) {
    while (at < seen.length && (seen[at]?.toMs ?? 0) < atMs - SAME_CLEANING_MS) at++
    const next = seen[at]
    if (!next || next.fromMs > atMs + SAME_CLEANING_MS) continue
    count++
    at++
  }
  return count
}

/** Were enough logged cleanings seen by the meter, so that its silence about cleanings can be believed? */
export function recognisedEnough(
  loggedMs: readonly number[],
  seen: readonly { readonly fromMs: number; readonly toMs: number }[],
): boolean {
  return recognisedCount(loggedMs, seen) >= RECOGNISED_AT
}
