import type { Database } from 'better-sqlite3'
import { createSqliteBookOfRecord } from '../adapters/records-sqlite/create-book-of-record.ts'
import { openReplayFile } from '../adapters/records-sqlite/replay-file.ts'
import { kernelFromJson, KERNEL_VERSION } from '../core/kernel/state.ts'
import type { Input } from '../core/model/input.ts'
import type { BookOfRecord, KernelSnapshot } from '../core/model/ports/records.ts'
import { createKernelKeeper, KernelVersionError } from './kernel-keeper.ts'
import type { Log } from './log.ts'

/** Inputs in one commit of a replay. */
const INPUTS_AT_ONCE = 2_000

/**
 * Makes the state of the kernel, and all that follows from the log, anew where the kept state cannot be used.
 *
 * REPLAY-1 a state of an earlier kernel, or one that cannot be read, is not guessed at: the log of inputs is the whole
 *          truth, and is lived through again by this kernel, into a new database beside the old one.
 * REPLAY-2 nobody is told anything by it: what was due in the past counts as told.
 * REPLAY-3 the old database stays under another name. Until the new one is whole, the old one is in its place.
 * REPLAY-4 a state of a newer kernel is refused: that release knows what this one does not.
 *
 * Gives true when the database was replaced and closed: open it again.
 *
 * @throws {KernelVersionError}
 */
export function replayWhereNeeded({ db, log }: { db: Database; log: Pick<Log, 'info' | 'warn'> }): boolean {
  const book = createSqliteBookOfRecord({ db })
  const reason = whyReplay(book.latestKernelSnapshot())
  if (reason === null) return false
  log.warn(
    { reason: reason.text },
    'the log is lived through again, which takes a while; nothing is lost by it',
  )
  const file = openReplayFile(db)
  let forwardedSeq: number
  try {
    forwardedSeq = replay(book, file.book, log)
  } catch (error) {
    file.giveUp()
    throw error
  }
  const aside = file.takePlace({ forwardedSeq, label: reason.label })
  log.info({ aside }, 'the log was lived through again; the database of before stays where this says')
  return true
}

function whyReplay(kept: KernelSnapshot | null): { text: string; label: string } | null {
  if (kept === null) return null
  const { kernelVersion, stateJson } = kept
  if (Number(kernelVersion) > Number(KERNEL_VERSION)) {
    throw new KernelVersionError(
      `the data folder was last used by a newer Nightcap (kernel ${kernelVersion}, this one is ${KERNEL_VERSION}): start the newer release, or put back a backup from before the change with nightcap restore`,
    )
  }
  if (kernelVersion !== KERNEL_VERSION)
    return {
      text: `its state was made by kernel ${kernelVersion}, this is ${KERNEL_VERSION}`,
      label: `kernel-${kernelVersion}`,
    }
  try {
    kernelFromJson(stateJson)
    return null
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error)
    return { text: `its state cannot be read (${why})`, label: 'unreadable-state' }
  }
}

/** Gives through which of its inputs the new log was handed on to a second store. */
function replay(from: BookOfRecord, to: BookOfRecord, log: Pick<Log, 'info'>): number {
  const keeper = createKernelKeeper(to)
  const [end, forwarded] = [from.lastSeq(), from.forwardedSeq()]
  let [forwardedSeq, told] = [0, 0]
  for (const batch of batches(from.inputsAfter(0))) {
    to.transaction(() => {
      for (const { seq, ...body } of batch) {
        keeper.take(body)
        if (seq <= forwarded) forwardedSeq = to.lastSeq()
      }
      keeper.beforeCommit(batch.at(-1)?.receivedMs ?? 0)
    })
    const percent = Math.floor(((batch.at(-1)?.seq ?? end) / end) * 10) * 10
    if (percent > told) log.info({ percent: (told = percent) }, 'living through the log again')
  }
  return forwardedSeq
}

function* batches(inputs: Iterable<Input>): Iterable<Input[]> {
  let batch: Input[] = []
  for (const input of inputs) {
    batch.push(input)
    if (batch.length === INPUTS_AT_ONCE) {
      yield batch
      batch = []
    }
  }
  if (batch.length > 0) yield batch
}
