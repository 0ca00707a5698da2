import { judgeAct } from '../core/kernel/judge-act.ts'
import type { KernelState } from '../core/kernel/state.ts'
import { nextDeadlineMs } from '../core/kernel/step.ts'
import type { Reading } from '../core/model/input.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { IngestSink, JudgedMessage } from '../core/model/ports/ingest.ts'
import type { ActOutcome, LiveNotice, Monitor } from '../core/model/ports/monitor.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import { parseNodeTopic } from '../core/model/topics.ts'
import { createHeardNotes } from './heard-notes.ts'
import { createKernelKeeper } from './kernel-keeper.ts'

/** Deadlines move this far behind the clock, so that a slightly late reading still counts. */
export const GRACE_MS = 2_000
/** The monitor was dark when it was not heard of for longer than this. */
const DARK_AFTER_MS = 60_000
const ALIVE_EVERY_MS = 20_000
/** Most messages in one commit. */
const BATCH = 2_000

interface MessageJob {
  readonly kind: 'message'
  readonly message: JudgedMessage
  readonly done: (error: Error | null) => void
}

type Job =
  | MessageJob
  | {
      readonly kind: 'act'
      readonly body: ActBody
      readonly done: (error: Error | null, outcome?: ActOutcome) => void
    }
  | { readonly kind: 'deadline' }

type ActBody = Parameters<Monitor['submit']>[0]

export interface Engine extends IngestSink {
  readonly submit: Monitor['submit']
  readonly subscribe: (listener: (notice: Omit<LiveNotice, 'lastEventId'>) => void) => () => void
  readonly state: () => KernelState
  /** Asks the clock whether a deadline has passed; called by a timer, and by tests at will. Resolves after the commit. */
  readonly tick: () => Promise<void>
  /** Did the last commit go through? */
  readonly problem: () => string | null
  /** How many messages, acts and deadlines wait for a commit. */
  readonly waiting: () => number
  readonly close: () => Promise<void>
}

export interface EngineParts {
  readonly book: BookOfRecord
  readonly clock: Clock
  /** The last commit failed, or works again. */
  readonly log: {
    error: (context: object, text: string) => void
    info: (context: object, text: string) => void
  }
}

/**
 * The one writer. Messages, acts and deadlines queue up, and one transaction takes all that wait: an append of many
 * costs one sync of the disk. Whoever offered something hears of it after the commit.
 */
export function createEngine({ book, clock, log }: EngineParts): Engine {
  const keeper = createKernelKeeper(book)
  const listeners = new Set<Parameters<Engine['subscribe']>[0]>()
  let queue: Job[] = []
  let scheduled = false
  let problem: string | null = null
  let aliveMs = -Infinity
  let stale = false
  const idle: (() => void)[] = []

  const schedule = (): void => {
    if (scheduled) return
    scheduled = true
    setImmediate(flush)
  }

  function flush(): void {
    scheduled = false
    const jobs = inEventTime(queue.length > BATCH ? queue.slice(0, BATCH) : queue)
    queue = queue.length > BATCH ? queue.slice(BATCH) : []
    const latest = new Map<string, Reading>()
    let outcomes: (ActOutcome | undefined)[] = []
    let failure: Error | null = null
    try {
      outcomes = commit(jobs, latest)
      if (problem !== null) log.info({}, 'the book of record can be written again')
      problem = null
    } catch (error) {
      failure = error instanceof Error ? error : new Error(String(error))
      problem = `nothing can be written to the book of record: ${failure.message}`
      log.error({ reason: failure.message }, 'a commit failed; nothing of it was acknowledged')
      stale = true
    }
    settle(jobs, failure, outcomes)
    if (!failure) for (const listener of listeners) listener({ latest: [...latest.values()] })
    if (queue.length > 0) schedule()
    else idle.splice(0).forEach((resolve) => resolve())
  }

  function commit(jobs: readonly Job[], latest: Map<string, Reading>): (ActOutcome | undefined)[] {
    // What a failed commit did to the state is forgotten before anything new is taken.
    if (stale) keeper.recover()
    stale = false
    return book.transaction(() => {
      const heard = createHeardNotes()
      const outcomes = jobs.map((job) => {
        if (job.kind === 'message') return takeMessage(job.message, heard, latest)
        if (job.kind === 'act') return takeAct(job.body)
        return takeDeadline()
      })
      book.noteHeard(heard.notes())
      const nowMs = clock.nowMs()
      if (nowMs - aliveMs >= ALIVE_EVERY_MS) book.noteAlive((aliveMs = nowMs))
      keeper.beforeCommit(nowMs)
      return outcomes
    })
  }

  function takeMessage(
    message: JudgedMessage,
    heard: ReturnType<typeof createHeardNotes>,
    latest: Map<string, Reading>,
  ): undefined {
    const { receivedMs, readings, status, rejections } = message
    for (const rejection of rejections) book.keepRejection(rejection, receivedMs)
    if (status) keeper.take({ type: 'nodeStatus', atMs: receivedMs, receivedMs, ...status })
    noteAhead(message)
    if (!readings) return undefined
    heard.note(readings, receivedMs)
    const { fresh, conflicts } = book.sortReadings(readings.readings)
    if (conflicts.length > 0) book.keepConflicts(conflicts, receivedMs)
    if (fresh.length === 0 && !readings.pack) return undefined
    for (const reading of fresh) latest.set(reading.sensorId, reading)
    const atMs = fresh.at(-1)?.atMs ?? receivedMs
    const { nodeId, pack } = readings
    keeper.take({
      type: 'readings',
      atMs,
      receivedMs,
      nodeId,
      ...(pack ? { pack } : {}),
      readings: [...fresh],
    })
    return undefined
  }

  /** A clock that runs ahead is a condition of its node, so its refusals belong on the log. */
  function noteAhead({ rejections, receivedMs }: JudgedMessage): void {
    const ahead = rejections.filter((r) => r.code === 'clockAhead')
    const nodeId = parseNodeTopic(ahead[0]?.topic ?? '')?.node
    if (nodeId === undefined) return
    const aheadMs = Math.max(...ahead.map((r) => r.aheadMs ?? 0))
    const stamp = { atMs: receivedMs, receivedMs }
    keeper.take({ type: 'readingsAhead', ...stamp, nodeId, count: ahead.length, aheadMs })
  }

  function takeAct(body: ActBody): ActOutcome {
    const outcome = judgeAct(keeper.state(), body)
    const nowMs = clock.nowMs()
    if (outcome.ok) keeper.take({ ...body, atMs: nowMs, receivedMs: nowMs })
    return outcome
  }

  function takeDeadline(): undefined {
    const atMs = clock.nowMs() - GRACE_MS
    if (nextDeadlineMs(keeper.state()) <= atMs)
      keeper.take({ type: 'deadline', atMs, receivedMs: atMs + GRACE_MS })
    return undefined
  }

  const drained = (): Promise<void> => new Promise((resolve) => (scheduled ? idle.push(resolve) : resolve()))

  begin()
  return {
    offer: (message) =>
      new Promise((resolve, reject) => {
        queue.push({ kind: 'message', message, done: (error) => (error ? reject(error) : resolve()) })
        schedule()
      }),
    submit: (body) =>
      new Promise((resolve, reject) => {
        const done = (error: Error | null, outcome?: ActOutcome): void =>
          error ? reject(error) : resolve(outcome ?? { ok: true })
        queue.push({ kind: 'act', body, done })
        schedule()
      }),
    subscribe: (listener) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    state: keeper.state,
    tick: () => {
      const nowMs = clock.nowMs()
      const due = nextDeadlineMs(keeper.state()) <= nowMs - GRACE_MS || nowMs - aliveMs >= ALIVE_EVERY_MS
      if (due && !queue.some((job) => job.kind === 'deadline')) {
        queue.push({ kind: 'deadline' })
        schedule()
      }
      return drained()
    },
    problem: () => problem,
    waiting: () => queue.length,
    close: drained,
  }

  /** A first start puts the empty settings on the log; a start after a gap says that the monitor was dark. */
  function begin(): void {
    const nowMs = clock.nowMs()
    book.transaction(() => {
      const lastAliveMs = book.lastAliveMs()
      if (book.lastSeq() === 0) {
        const act = { actorId: 'monitor', via: 'program' as const, atMs: nowMs }
        keeper.take({
          type: 'settings',
          atMs: nowMs,
          receivedMs: nowMs,
          act,
          settings: keeper.state().settings,
        })
      } else if (lastAliveMs !== null && nowMs - lastAliveMs > DARK_AFTER_MS) {
        keeper.take({ type: 'monitorDark', atMs: nowMs, receivedMs: nowMs, fromMs: lastAliveMs })
      }
      book.noteAlive((aliveMs = nowMs))
      keeper.beforeCommit(nowMs)
    })
  }
}

/** Messages that wait together are taken in order of their first reading: fewer then come late. All else keeps its place. */
function inEventTime(jobs: readonly Job[]): readonly Job[] {
  const ordered: Job[] = []
  let messages: MessageJob[] = []
  const takeMessages = (): void => {
    ordered.push(...messages.sort((a, b) => firstMs(a) - firstMs(b)))
    messages = []
  }
  for (const job of jobs) {
    if (job.kind === 'message') {
      messages.push(job)
    } else {
      takeMessages()
      ordered.push(job)
    }
  }
  takeMessages()
  return ordered
}

function firstMs({ message: { readings, receivedMs } }: MessageJob): number {
  return readings?.readings[0]?.atMs ?? receivedMs
}

function settle(
  jobs: readonly Job[],
  failure: Error | null,
  outcomes: readonly (ActOutcome | undefined)[],
): void {
  jobs.forEach((job, i) => {
    if (job.kind !== 'deadline') job.done(failure, outcomes[i])
  })
}
