import { nextDeadlineMs } from '../../services/core/kernel/step.ts'
import { kernelToJson } from '../../services/core/kernel/state.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'

/** What arrives at a monitor, and when its clock says so. */
export interface Arrival {
  readonly receivedMs: number
  readonly body: InputBody
}

const GRACE_MS = 2_000

export function settingsInput(settings: Settings, atMs: number): InputBody {
  return {
    type: 'settings',
    atMs,
    receivedMs: atMs,
    act: { actorId: 'owner', via: 'screen', atMs },
    settings,
  }
}

/** A pack as the engine would put it on the log. */
export function packInput(
  receivedMs: number,
  readings: Extract<InputBody, { type: 'readings' }>['readings'],
): InputBody {
  const sorted = [...readings].sort((a, b) => a.atMs - b.atMs || (a.sensorId < b.sensorId ? -1 : 1))
  return {
    type: 'readings',
    atMs: sorted.at(-1)?.atMs ?? receivedMs,
    receivedMs,
    nodeId: 'bench',
    readings: sorted,
  }
}

/**
 * Lets a monitor live through arrivals on the given book, waking it at each deadline as its clock would.
 * Gives the log that came of it. `endMs` is when the clock stops. With `tickEveryMs` the clock says its time that often
 * beside, whether or not anything is due.
 */
export function liveThrough(
  book: BookOfRecord,
  arrivals: readonly Arrival[],
  endMs: number,
  { tickEveryMs }: { tickEveryMs?: number } = {},
): readonly InputBody[] {
  const keeper = createKernelKeeper(book)
  const log: InputBody[] = []
  const take = (body: InputBody): void => {
    book.transaction(() => {
      keeper.take(body)
      keeper.beforeCommit(body.receivedMs)
    })
    log.push(body)
  }
  const wakeThrough = (clockMs: number): void => {
    for (
      let at = nextDeadlineMs(keeper.state());
      at <= clockMs - GRACE_MS;
      at = nextDeadlineMs(keeper.state())
    ) {
      take({ type: 'deadline', atMs: at, receivedMs: at + GRACE_MS })
    }
  }
  let tickMs = arrivals[0]?.receivedMs ?? endMs
  const liveTo = (clockMs: number): void => {
    for (; tickEveryMs !== undefined && tickMs < clockMs; tickMs += tickEveryMs) {
      wakeThrough(tickMs)
      take({ type: 'deadline', atMs: tickMs - GRACE_MS, receivedMs: tickMs })
    }
    wakeThrough(clockMs)
  }
  for (const { receivedMs, body } of arrivals) {
    liveTo(receivedMs)
    take(body)
  }
  liveTo(endMs)
  return log
}

/** Replays a log on an empty book in chunks, opening the book anew (a restart) after the chunks that `restartAfter` names. */
export function replayLog(
  book: BookOfRecord,
  log: readonly InputBody[],
  { chunkOf, restartAfter }: { chunkOf: (i: number) => number; restartAfter: (chunk: number) => boolean },
): { effects: readonly (readonly Effect[])[]; stateJson: string } {
  let keeper = createKernelKeeper(book)
  const effects: (readonly Effect[])[] = []
  for (let at = 0, chunk = 0; at < log.length; chunk++) {
    const part = log.slice(at, at + Math.max(1, chunkOf(chunk)))
    at += part.length
    book.transaction(() => {
      for (const body of part) effects.push(keeper.take(body))
      keeper.beforeCommit(part.at(-1)?.receivedMs ?? 0)
    })
    if (restartAfter(chunk)) keeper = createKernelKeeper(book)
  }
  return { effects, stateJson: kernelToJson(keeper.state()) }
}

/** Episodes by what makes them the same to a person: condition, subject and times. */
export function episodeFacts(episodes: readonly Episode[]): readonly string[] {
  return episodes
    .map((e) =>
      [
        e.condition,
        `${e.subject.kind}:${e.subject.id}`,
        e.fromMs,
        e.openedMs,
        e.toMs,
        e.closedMs,
        e.worst,
      ].join(' '),
    )
    .sort()
}
