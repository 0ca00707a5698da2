import type { Episode } from '../model/episode.ts'
import { coreToJson, emptyWindow, type SubjectEvent, type SubjectState } from './subject-state.ts'

export const CHECKPOINT_EVERY_MS = 4 * 60_000
/** So the window reaches back eight to twelve minutes: further than nodes that send once a minute ever need. */
const CHECKPOINTS = 3
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
  if (atMs < window.nextCheckpointMs || atMs <= throughMs || throughMs === -Infinity) return
  if (window.checkpoints.length === 0) window.episodes = Object.values(state.open)
  window.nextCheckpointMs = atMs + CHECKPOINT_EVERY_MS
  window.checkpoints.push({ throughMs, coreJson: coreToJson(state) })
  if (window.checkpoints.length > CHECKPOINTS) forgetOldest(state)
}

function forgetOldest({ window }: SubjectState): void {
  window.checkpoints.shift()
  const oldestMs = window.checkpoints[0]?.throughMs ?? Infinity
  window.tail = window.tail.filter((event) => event.atMs > oldestMs)
  window.episodes = window.episodes.filter((e) => e.closedMs === null || e.closedMs >= oldestMs)
}

export function keepInWindow({ window }: SubjectState, event: SubjectEvent): void {
  if (window.checkpoints.length > 0) window.tail.push(event)
}

export function noteEpisode({ window }: SubjectState, episode: Episode): void {
  if (window.checkpoints.length === 0) return
  const at = window.episodes.findIndex((e) => e.id === episode.id)
  if (at < 0) window.episodes.push(episode)
  else window.episodes[at] = episode
}
