import { judgeAct } from '../core/kernel/judge-act.ts'
import type { KernelState } from '../core/kernel/state.ts'
import { nextDeadlineMs } from '../core/kernel/step.ts'
import type { Reading } from '../core/model/input.ts'
import type { Monitor } from '../core/model/ports/monitor.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import type { Settings } from '../core/model/settings.ts'
import { GRACE_MS } from './engine.ts'
import { createHeardNotes } from './heard-notes.ts'
import { createKernelKeeper, type KernelKeeper } from './kernel-keeper.ts'

/** Readings as they would have arrived: at the time of the newest of them. */
export interface PastPack {
  readonly nodeId: string
  readonly receivedMs: number
  readonly readings: readonly Reading[]
}

/** What a person did then. */
export type PastAct = Parameters<Monitor['submit']>[0]

/** The people of a past: when they came round, and what they did in view of what the shop knew then. */
export interface PastPeople {
  /** In order of time. */
  readonly rounds: Iterable<number>
  readonly actsAt: (state: KernelState, atMs: number) => readonly PastAct[]
}

const PACKS_A_COMMIT = 10_000

/**
 * Lets an empty book live through a past, as if the monitor had been running all the time: the same log, the same
 * kernel, the same effects. `packs` come in order of `receivedMs`. Gives how many readings were taken.
 *
 * @throws {RangeError} if the book already holds inputs.
 */
export function backfill(
  book: BookOfRecord,
  {
    settings,
    fromMs,
    packs,
    throughMs,
    people = { rounds: [], actsAt: () => [] },
  }: {
    settings: Settings
    fromMs: number
    packs: Iterable<PastPack>
    throughMs: number
    people?: PastPeople
  },
): number {
  if (book.lastSeq() !== 0) throw new RangeError('only an empty book of record can be given a past')
  const keeper = createKernelKeeper(book)
  const rounds = people.rounds[Symbol.iterator]()
  let round = rounds.next()
  let taken = 0
  const goRound = (throughMs: number): void => {
    for (; !round.done && round.value <= throughMs; round = rounds.next()) {
      const atMs = round.value
      wake(keeper, atMs)
      for (const act of people.actsAt(keeper.state(), atMs)) {
        if (judgeAct(keeper.state(), act).ok) keeper.take({ ...act, atMs, receivedMs: atMs })
      }
    }
  }
  const commit = (batch: readonly PastPack[]): void =>
    book.transaction(() => {
      const heard = createHeardNotes()
      for (const pack of batch) {
        goRound(pack.receivedMs)
        wake(keeper, pack.receivedMs)
        heard.note(
          { nodeId: pack.nodeId, pack: null, readings: pack.readings, intervalMsOf: new Map() },
          pack.receivedMs,
        )
        keeper.take({ type: 'readings', atMs: pack.receivedMs, ...pack, readings: [...pack.readings] })
        taken += pack.readings.length
      }
      book.noteHeard(heard.notes())
      keeper.beforeCommit(batch.at(-1)?.receivedMs ?? fromMs)
    })
  book.transaction(() => {
    const act = { actorId: 'monitor', via: 'program' as const, atMs: fromMs }
    keeper.take({ type: 'settings', atMs: fromMs, receivedMs: fromMs, act, settings })
  })
  for (const batch of batches(packs)) commit(batch)
  book.transaction(() => {
    wake(keeper, throughMs)
    book.noteAlive(throughMs)
    keeper.beforeCommit(throughMs)
  })
  return taken
}

function wake(keeper: KernelKeeper, clockMs: number): void {
  for (
    let at = nextDeadlineMs(keeper.state());
    at <= clockMs - GRACE_MS;
    at = nextDeadlineMs(keeper.state())
  ) {
    keeper.take({ type: 'deadline', atMs: at, receivedMs: at + GRACE_MS })
  }
}

function* batches(packs: Iterable<PastPack>): Iterable<PastPack[]> {
  let batch: PastPack[] = []
  for (const pack of packs) {
    batch.push(pack)
    if (batch.length === PACKS_A_COMMIT) {
      yield batch
      batch = []
    }
  }
  if (batch.length > 0) yield batch
}
