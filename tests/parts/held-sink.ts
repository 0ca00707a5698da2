import { vi } from 'vitest'
import type { IngestSink, JudgedMessage } from '../../services/core/model/ports/ingest.ts'

/** A sink that commits when the test says so: at once, held back, or failing. */
export interface HeldSink extends IngestSink {
  /** All that was offered, in order, whatever became of it. */
  readonly offered: readonly JudgedMessage[]
  readonly committed: readonly JudgedMessage[]
  /** How many wait now. */
  readonly waiting: () => number
  /** From now on offers wait for `release` or `fail`. */
  readonly hold: () => void
  /** Commits what waits, and from now on at once. */
  readonly release: () => void
  /** Fails what waits, and from now on all, until `release`. */
  readonly fail: () => void
  readonly codes: () => readonly string[]
  readonly sensorIds: () => readonly string[]
  /** Resolves once so many messages were offered. */
  readonly untilOffered: (count: number) => Promise<void>
}

export function createHeldSink(): HeldSink {
  const offered: JudgedMessage[] = []
  const committed: JudgedMessage[] = []
  let mode: 'commit' | 'hold' | 'fail' = 'commit'
  const waiting: { message: JudgedMessage; settle: (ok: boolean) => void }[] = []

  const settleAll = (ok: boolean): void => waiting.splice(0).forEach((w) => w.settle(ok))
  return {
    offered,
    committed,
    waiting: () => waiting.length,
    offer: (message) => {
      offered.push(message)
      return new Promise((resolve, reject) => {
        const settle = (ok: boolean): void => {
          if (ok) committed.push(message)
          if (ok) resolve()
          else reject(new Error('the disk is full'))
        }
        if (mode === 'hold') waiting.push({ message, settle })
        else settle(mode === 'commit')
      })
    },
    hold: () => (mode = 'hold'),
    release: () => {
      mode = 'commit'
      settleAll(true)
    },
    fail: () => {
      mode = 'fail'
      settleAll(false)
    },
    codes: () => committed.flatMap((m) => m.rejections.map((r) => r.code)),
    sensorIds: () => committed.flatMap((m) => m.readings?.readings.map((r) => r.sensorId) ?? []),
    untilOffered: (count) =>
      vi.waitFor(
        () => {
          if (offered.length < count) throw new Error(`${offered.length} of ${count} offered`)
        },
        { timeout: 10_000, interval: 5 },
      ),
  }
}
