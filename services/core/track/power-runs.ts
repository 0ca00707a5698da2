import type { LevelBands, PowerLevel } from './power-rule.ts'

/** A stretch of time at one level, with interruptions that are too short to end it. Survives JSON. */
export interface LevelRun {
  /** When it began; null: there is none now. */
  fromMs: number | null
  /** The last reading at this level. */
  lastMs: number
  /** Time at this level, interruptions left out. */
  heldMs: number
  /** Of the last minutes: how long in all, and of this how long at this level. */
  recentMs: number
  recentHeldMs: number
  readings: number
}

export type LevelRuns = Record<PowerLevel, LevelRun>
export const LEVELS = ['standby', 'cleaning', 'printing', 'between'] as const satisfies readonly PowerLevel[]

const SECOND = 1000
/**
 * An interruption no longer than this does not end a run: a carriage that turns or waits, a pump that pauses, a heater
 * on top. All starting values, no source.
 */
const BRIDGE_MS: Record<PowerLevel, number> = {
  standby: 45 * SECOND,
  cleaning: 75 * SECOND,
  printing: 120 * SECOND,
  between: 75 * SECOND,
}
/** A meter that reports rarely may miss one reading while it prints, and none else. */
const BRIDGE_INTERVALS: Record<PowerLevel, number> = {
  standby: 1.5,
  cleaning: 1.5,
  printing: 2.5,
  between: 1.5,
}
/** So long at a level, and it is what the machine does. Longer than a heater's pulse. Starting values, no source. */
const SURE_AFTER_MS: Record<Exclude<PowerLevel, 'cleaning'>, number> = {
  standby: 30 * SECOND,
  printing: 120 * SECOND,
  between: 120 * SECOND,
}
/** A run is at its level for at least this share of its last minutes. */
const SHARE = 0.5
const RECENT_MS = 600 * SECOND

export function initialRuns(): LevelRuns {
  return { standby: noRun(), cleaning: noRun(), printing: noRun(), between: noRun() }
}

function noRun(): LevelRun {
  return { fromMs: null, lastMs: 0, heldMs: 0, recentMs: 0, recentHeldMs: 0, readings: 0 }
}

export function clearRun(run: LevelRun): void {
  run.fromMs = null
  run.heldMs = 0
  run.recentMs = 0
  run.recentHeldMs = 0
  run.readings = 0
}

/**
 * Was the run rather elsewhere than at its level of late, as pulses make it, seen from a reading at its level that
 * stands for the `coveredMs` before it?
 */
export function isRunThin(run: LevelRun, atMs: number, coveredMs: number): boolean {
  if (run.fromMs === null) return false
  return run.recentHeldMs + coveredMs < (run.recentMs + atMs - run.lastMs) * SHARE
}

/** A reading at the run's level that stands for the `coveredMs` before it. */
export function extendRun(run: LevelRun, atMs: number, coveredMs: number): void {
  if (run.fromMs !== null) run.recentMs += atMs - coveredMs - run.lastMs
  run.fromMs ??= atMs - coveredMs
  run.readings++
  hold(run, coveredMs)
  run.lastMs = atMs
  if (run.recentMs > RECENT_MS) {
    run.recentMs /= 2
    run.recentHeldMs /= 2
  }
}

/** The run went on for this long after its last reading. */
export function lengthenRun(run: LevelRun, byMs: number): void {
  hold(run, byMs)
  run.lastMs += byMs
}

function hold(run: LevelRun, ms: number): void {
  run.heldMs += ms
  run.recentMs += ms
  run.recentHeldMs += ms
}

/** Did the run end, seen from a reading at `atMs` of a meter that reports every `intervalMs`? */
export function isRunOver(
  level: PowerLevel,
  { fromMs, lastMs }: LevelRun,
  atMs: number,
  intervalMs: number,
): boolean {
  return fromMs !== null && atMs - lastMs > Math.max(BRIDGE_MS[level], BRIDGE_INTERVALS[level] * intervalMs)
}

/** Is this level what the machine does, by the length of the run alone? */
export function isRunSure(
  level: Exclude<PowerLevel, 'cleaning'>,
  { fromMs, heldMs, readings }: LevelRun,
): boolean {
  return fromMs !== null && readings >= 2 && heldMs >= SURE_AFTER_MS[level]
}

/**
 * CLEANED-1 a stretch in the cleaning band is a cleaning once it was in it for at least the shortest time that this
 *           machine's cleanings take, and none any more when it lasts over the longest, give or take what the meter's
 *           interval hides.
 * CLEANED-2 one reading alone is never a cleaning.
 */
export function isCleaning(run: LevelRun, { cleaningMs }: LevelBands, intervalMs: number): boolean {
  if (run.fromMs === null || run.readings < 2 || run.heldMs < cleaningMs[0] - intervalMs / 2) return false
  return !isTooLongToClean(run, cleaningMs[1], intervalMs)
}

export function isTooLongToClean(
  { fromMs, lastMs }: LevelRun,
  longestMs: number,
  intervalMs: number,
): boolean {
  return fromMs !== null && lastMs - fromMs > longestMs + intervalMs
}
