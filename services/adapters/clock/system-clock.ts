import { durationText } from '../../core/model/clock-text.ts'
import type { Clock } from '../../core/model/ports/clock.ts'

/** A computer that slept wakes up later; one that slept for longer than this has a wrong clock. Starting value. */
const LONGEST_LEAP_MS = 7 * 86_400_000
/** A correction of less than this is an everyday thing. Starting value. */
const TOLD_BEHIND_MS = 5_000
/** Before this Nightcap was not there: a clock that says so was never set. */
const EARLIEST_MS = Date.UTC(2024, 0, 1)

export interface SystemClockParts {
  /** The computer's clock. */
  readonly wallMs?: () => number
  /** Counts on, whatever is done to the computer's clock. */
  readonly countMs?: () => number
  /** What the book of record was last written at: time goes on from there. */
  readonly notBeforeMs?: number
}

/**
 * The computer's clock, as far as it can be believed.
 *
 * CLOCK-1 it never goes back: where the computer's clock does, by a second or a year, before a start or after it, time
 *         stands still until that clock has come as far, so that the log never runs backwards.
 * CLOCK-2 a step forward is followed at once: a computer that slept. Silence that it seems to make is ended by the next
 *         reading.
 * CLOCK-3 a leap by more than a week while running is not followed: deadlines, and what is thrown away for its age, would
 *         go by it. Time goes on by its own count until the clock is back, or the monitor is started again.
 * CLOCK-4 a clock that says a time before 2024 was never set; when it is, that leap is followed.
 * CLOCK-5 whatever of this holds is told by `doubt`, with the cure.
 */
export function createSystemClock({
  wallMs = Date.now,
  countMs = () => performance.now(),
  notBeforeMs = 0,
}: SystemClockParts = {}): Clock {
  let lastMs = notBeforeMs
  let believed = { wallMs: wallMs(), countMs: countMs() }
  let leapMs = 0
  const nowMs = (): number => {
    const wall = wallMs()
    const counted = believed.wallMs + countMs() - believed.countMs
    const ownMs = Math.max(lastMs, counted)
    const isLeap = wall - ownMs > LONGEST_LEAP_MS && believed.wallMs >= EARLIEST_MS
    leapMs = isLeap ? wall - ownMs : 0
    if (!isLeap) believed = { wallMs: wall, countMs: countMs() }
    return (lastMs = Math.max(lastMs, Math.floor(isLeap ? counted : wall)))
  }
  const doubt = (): string | null => {
    const behindMs = nowMs() - wallMs()
    if (leapMs > 0)
      return `the clock of this computer leapt ahead by ${durationText(leapMs)}, and Nightcap goes on by its own count: set the clock right; if it is right, start Nightcap again`
    if (wallMs() < EARLIEST_MS && lastMs < EARLIEST_MS)
      return 'the clock of this computer was never set: let it take its time from the network, or set it'
    if (behindMs > TOLD_BEHIND_MS)
      return `the clock of this computer is ${durationText(behindMs)} behind what was recorded last, so Nightcap's time stands still until it has come as far: set the clock right${behindMs > LONGEST_LEAP_MS ? '; if it is right, what was recorded lies in the future: put back a backup from before' : ''}`
    return null
  }
  return { nowMs, realMs: (ms) => ms, doubt }
}
