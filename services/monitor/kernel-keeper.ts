import {
  kernelFromJson,
  initialKernel,
  kernelToJson,
  KERNEL_VERSION,
  type KernelState,
} from '../core/kernel/state.ts'
import { step } from '../core/kernel/step.ts'
import type { Effect } from '../core/model/effect.ts'
import type { Input, InputBody } from '../core/model/input.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import { emptySettings } from '../core/model/settings.ts'

export const SNAPSHOT_EVERY_MS = 15 * 60_000
export const SNAPSHOT_EVERY_INPUTS = 10_000

/** The stored state was made by another version of the kernel. */
export class KernelVersionError extends Error {
  override readonly name = 'KernelVersionError'
  readonly code = 'KERNEL_VERSION'
}

/** Holds the kernel's state and keeps it in step with the book of record. */
export interface KernelKeeper {
  readonly state: () => KernelState
  /** Appends an input to the log and takes it, inside the caller's transaction. */
  readonly take: (body: InputBody) => readonly Effect[]
  /** Ends the caller's transaction: keeps a snapshot when one is due, or always. */
  readonly beforeCommit: (nowMs: number, always?: 'always') => void
  /** The transaction failed: forgets what it did, by snapshot and replay. */
  readonly recover: () => void
}

export function createKernelKeeper(book: BookOfRecord): KernelKeeper {
  let state = recoverState(book)
  let seq = book.lastSeq()
  let snapshot = { seq: book.latestKernelSnapshot()?.seq ?? 0, atMs: -Infinity }
  let rebuilt = false

  return {
    state: () => state,
    take: (body) => {
      const input: Input = { ...body, seq: ++seq }
      book.appendInput(input)
      const result = step(state, input, book.history)
      book.applyEffects(seq, result.effects)
      rebuilt ||= result.rebuilt
      return result.effects
    },
    beforeCommit: (nowMs, always) => {
      const due = seq - snapshot.seq >= SNAPSHOT_EVERY_INPUTS || nowMs - snapshot.atMs >= SNAPSHOT_EVERY_MS
      // A replay must never meet a late reading: it would look up a past that already holds its own future.
      if (seq > snapshot.seq && (due || rebuilt || always !== undefined)) {
        book.saveKernelSnapshot({ seq, kernelVersion: KERNEL_VERSION, stateJson: kernelToJson(state) })
        snapshot = { seq, atMs: nowMs }
        rebuilt = false
      }
    },
    recover: () => {
      state = recoverState(book)
      seq = book.lastSeq()
      snapshot = { seq: book.latestKernelSnapshot()?.seq ?? 0, atMs: -Infinity }
      rebuilt = false
    },
  }
}

/** Snapshot and replay: the effects were written with their inputs, so only the state is wanted. */
function recoverState(book: BookOfRecord): KernelState {
  const kept = book.latestKernelSnapshot()
  if (kept && kept.kernelVersion !== KERNEL_VERSION) {
    throw new KernelVersionError(
      `the data folder was last used by kernel version ${kept.kernelVersion}, this is ${KERNEL_VERSION}: start the release that wrote it`,
    )
  }
  const state = kept ? kernelFromJson(kept.stateJson) : initialKernel(emptySettings())
  for (const input of book.inputsAfter(kept?.seq ?? 0)) step(state, input, book.history)
  return state
}
