/**
 * How long raw readings are kept, and what was sent to whom: thirteen months, a year and the time to look at it. Records
 * of minutes stay for good.
 */
export const READINGS_KEPT_MS = 396 * 86_400_000
