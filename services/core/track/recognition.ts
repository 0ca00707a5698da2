/** Are the cleanings that people log also those that the meter sees? Only then does a cleaning that is missing mean anything. */
export interface Recognition {
  /** Logged cleanings that the meter saw, at most as many as are asked for. */
  count: number
  /** A logged cleaning that the meter has not seen yet. */
  loggedMs: number | null
  /** The last that the meter saw and nobody logged yet. */
  seenMs: number | null
}

/** A logged cleaning and one that the meter saw within this time of each other are the same. */
const SAME_CLEANING_MS = 30 * 60_000
const RECOGNISED_AT = 5

export function initialRecognition(): Recognition {
  return { count: 0, loggedMs: null, seenMs: null }
}

/** RECOGNISE-1 a cleaning counts as recognised when it was logged and seen within half an hour, in either order. */
export function noteLoggedCleaning(state: Recognition, atMs: number): void {
  state.loggedMs = atMs
  match(state)
}

export function noteSeenCleaning(state: Recognition, atMs: number): void {
  state.seenMs = atMs
  match(state)
}

/** RECOGNISE-3 what a scale proved needs nobody to log it, and stays proven. */
export function noteProvenCleanings(state: Recognition): void {
  state.count = RECOGNISED_AT
}

/** RECOGNISE-2 five of them are enough. */
export function isRecognised({ count }: Recognition): boolean {
  return count >= RECOGNISED_AT
}

function match(state: Recognition): void {
  const { loggedMs, seenMs } = state
  if (loggedMs === null || seenMs === null || Math.abs(loggedMs - seenMs) > SAME_CLEANING_MS) return
  state.loggedMs = null
  state.seenMs = null
  state.count = Math.min(RECOGNISED_AT, state.count + 1)
}
