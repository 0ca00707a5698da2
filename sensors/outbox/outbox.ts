import type { Sample } from '../sample.ts'

/** The samples of one moment on their way to the broker. Its number is given once, so that a lost one shows as a gap. */
export interface WaitingPack {
  readonly bootId: string
  /** From 1 within a boot. */
  readonly packSequence: number
  /** At least one. */
  readonly samples: readonly Sample[]
}

/** A waiting pack with its place in the queue; ids only grow. */
export interface OutboxEntry extends WaitingPack {
  readonly id: number
}

export interface OutboxStats {
  readonly waitingPacks: number
  readonly waitingBytes: number
  /** Packs thrown away because the box was full or they had grown too old. */
  readonly droppedPacks: number
  /** Lines that a power cut or a bad disk left unreadable. */
  readonly tornLines: number
}

/** Packs that the broker has not acknowledged yet. */
export interface Outbox {
  /**
   * OUTBOX-1 what was appended is there until it is removed or dropped; on disk it outlives `kill -9`.
   * @throws {OutboxError} `OUTBOX_WRITE` if the disk refused it: then it is not in the box.
   */
  readonly append: (pack: WaitingPack) => void
  /**
   * OUTBOX-2 the oldest entries with an id above `afterId`, oldest first, at most `limit`. Removes nothing.
   * @throws {OutboxError} `OUTBOX_READ` if the disk refused it for now.
   */
  readonly peek: (query: { readonly afterId: number; readonly limit: number }) => readonly OutboxEntry[]
  /** OUTBOX-3 takes one out that was delivered; of an id that is not there, it does nothing. */
  readonly remove: (id: number) => void
  /** OUTBOX-5 takes one out that can never be sent, and counts it. */
  readonly drop: (id: number) => void
  /**
   * OUTBOX-4 over its bytes or its age, the oldest packs go first, and each is counted. A pack that nobody can date
   * any more counts as too old. One that was just being sent may be counted and arrive all the same.
   */
  readonly stats: () => OutboxStats
  readonly close: () => void
}

/** How much may wait, and how long. */
export interface OutboxLimits {
  readonly maxBytes: number
  readonly maxAgeMs: number
}

export type OutboxErrorCode = 'OUTBOX_OPEN' | 'OUTBOX_WRITE' | 'OUTBOX_READ'

export class OutboxError extends Error {
  override readonly name = 'OutboxError'
  readonly code: OutboxErrorCode
  constructor(code: OutboxErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.code = code
  }
}
