/**
 * What it costs to read of each minute its last reading alone, measured in `tests/unit/services/core/study/rerun/
 * minute-records.test.ts` over simulated shops: the test fails when these words are no longer true.
 */
export const MINUTE_TOLERANCE = {
  /** At most this share of episodes is in one of the two runs and not in the other. */
  mostOtherShare: 0.1,
  words: 'up to one in ten of the troubles came out otherwise by that',
} as const
