import type { Episode } from '../model/episode.ts'
import {
  coreToJson,
  emptyWindow,
  type Checkpoint,
  type LateWindow,
  type SubjectEvent,
  type SubjectState,
} from './subject-state.ts'

/** A state is kept after this long, or after so many things applied: where much is heard, little is told again. */
const CHECKPOINT_EVERY_MS = 4 * 60_000
const CHECKPOINT_EVERY_EVENTS = 32
/** So far back reaches the window: further than nodes that send once a minute ever need. */
const REACH_MS = 8 * 60_000
/** When a state is kept, it holds no more than this, however much is heard: every snapshot of the kernel holds it too. */
const MOST_EVENTS = 2_000
/** A subject that heard nothing late for this long stops paying for the window. */
const KEPT_AFTER_LATE_MS = 3_600_000

/** Something is about to be applied at `atMs`: keeps the state before it when a checkpoint is due. */
export function takeCheckpoint(state: SubjectState, atMs: number): void {
  const { window, throughMs } = state
  if (window.lateMs === null) return
  if (atMs - window.lateMs > KEPT_AFTER_LATE_MS) {
    state.window = emptyWindow(null)
    return
  }
  // Between two things of one instant the state is through neither.
  if (!isDue(window, atMs) || atMs <= throughMs || throughMs === -Infinity) return
  if (window.checkpoints.length === 0) window.episodes = Object.values(state.open)
  const checkpoint = { throughMs, events: window.events, coreJson: coreToJson(state) }
  window.checkpoints = [...thinned(window), checkpoint]
  forgetOldest(window, atMs)
}

function isDue({ checkpoints, events }: LateWindow, atMs: number): boolean {
  const newest = checkpoints.at(-1)
  if (!newest) return true
  return atMs - newest.throughMs >= CHECKPOINT_EVERY_MS || events - newest.events >= CHECKPOINT_EVERY_EVENTS
}

/**
 * A state goes when the gap that it leaves is no wider than the newer end of that gap is old. So few are kept, and what
 * comes late by n things is told again from at most 2 n things back and one interval.
 */
function thinned({ checkpoints, events }: LateWindow): Checkpoint[] {
  const newestFirst: Checkpoint[] = []
  for (const [i, checkpoint] of [...checkpoints.entries()].reverse()) {
    const [older, newer] = [checkpoints[i - 1], newestFirst.at(-1)]
    const isSpare = older && newer && newer.events - older.events <= events - newer.events
    if (!isSpare) newestFirst.push(checkpoint)
  }
  return newestFirst.reverse()
}

/** The oldest states go while the one after them still reaches far enough, or while too much is held. */
function forgetOldest(window: LateWindow, atMs: number): void {
  const { checkpoints, events } = window
  const first = checkpoints.findIndex((oldest, i) => {
    const next = checkpoints[i + 1]
    return !next || (next.throughMs > atMs - REACH_MS && events - oldest.events <= MOST_EVENTS)
  })
  const oldest = checkpoints[first]
  if (first <= 0 || !oldest) return
  window.tail = eventsAfter(window, oldest)
  window.checkpoints = checkpoints.slice(first)
  window.episodes = window.episodes.filter((e) => e.closedMs === null || e.closedMs >= oldest.throughMs)
}

/** What was applied after a checkpoint of the window, in the order in which it was. */
export function eventsAfter({ checkpoints, tail }: LateWindow, { events }: Checkpoint): SubjectEvent[] {
  return tail.slice(events - (checkpoints[0]?.events ?? 0))
}

/** The window as it was at one of its checkpoints; episodes are the caller's to put right. */
export function windowAt(window: LateWindow, { events }: Checkpoint): LateWindow {
  const { checkpoints, tail, lateMs } = window
  return {
    lateMs,
    events,
    checkpoints: checkpoints.filter((c) => c.events <= events),
    tail: tail.slice(0, events - (checkpoints[0]?.events ?? 0)),
    episodes: [],
  }
}

export function keepInWindow({ window }: SubjectState, event: SubjectEvent): void {
  if (window.checkpoints.length === 0) return
  window.tail.push(event)
  window.events++
}

export function noteEpisode({ window }: SubjectState, episode: Episode): void {
  if (window.checkpoints.length === 0) return
  const at = window.episodes.findIndex((e) => e.id === episode.id)
  if (at < 0) window.episodes.push(episode)
  else window.episodes[at] = episode
}
