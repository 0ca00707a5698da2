import { initialKernel, type KernelState } from '../../services/core/kernel/state.ts'
import { nextDeadlineMs, step } from '../../services/core/kernel/step.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { SubjectHistory } from '../../services/core/model/ports/records.ts'
import { emptySettings } from '../../services/core/model/settings.ts'

const GRACE_MS = 2_000
/** Nothing comes late here, so nothing is ever looked up. */
const NO_HISTORY: SubjectHistory = {
  snapshotBefore: () => null,
  ordersFrom: () => [],
  readingsAfter: () => [],
  episodesTouchedAfter: () => [],
}

/** An alarm that asked for somebody at once. */
export interface Call {
  readonly atMs: number
  readonly alarm: Alarm
}

/** The real kernel with a clock that wakes it, and what it decided. */
export interface WatchedKernel {
  readonly state: () => KernelState
  readonly take: (body: InputBody) => void
  /** Fires every deadline that the clock has passed by `clockMs`. */
  readonly wakeThrough: (clockMs: number) => void
  readonly episodes: () => readonly Episode[]
  readonly calls: () => readonly Call[]
}

export function createWatchedKernel(): WatchedKernel {
  const state = initialKernel(emptySettings())
  const episodes = new Map<string, Episode>()
  const urgent = new Set<string>()
  const calls: Call[] = []
  let seq = 0

  const noteAlarm = (alarm: Alarm, atMs: number): void => {
    const asks = alarm.urgency === 'now' && alarm.state === 'unacknowledged'
    if (asks && !urgent.has(alarm.id)) calls.push({ atMs, alarm })
    if (asks) urgent.add(alarm.id)
    else urgent.delete(alarm.id)
  }
  const note = (effect: Effect): void => {
    if (effect.type === 'episodeCorrected') episodes.delete(effect.previousId)
    if (effect.type === 'episodeWithdrawn') episodes.delete(effect.episodeId)
    else if ('episode' in effect) episodes.set(effect.episode.id, effect.episode)
    else if (effect.type === 'alarmChanged') noteAlarm(effect.alarm, effect.atMs)
  }
  const take = (body: InputBody): void => {
    for (const effect of step(state, { ...body, seq: ++seq }, NO_HISTORY).effects) note(effect)
  }

  return {
    state: () => state,
    take,
    wakeThrough: (clockMs) => {
      for (let at = nextDeadlineMs(state); at <= clockMs - GRACE_MS; at = nextDeadlineMs(state)) {
        take({ type: 'deadline', atMs: at, receivedMs: at + GRACE_MS })
      }
    },
    episodes: () => [...episodes.values()],
    calls: () => calls,
  }
}
