import type { Reading } from '../input.ts'

/** A reading with what it belonged to when it was taken. */
export interface PlacedReading extends Reading {
  readonly siteId: string
  readonly nodeId: string
  /** Null for a sensor that was assigned to nothing. */
  readonly subject: { readonly kind: 'site' | 'room' | 'machine' | 'bottle'; readonly id: string } | null
  /** The room of the subject itself, or of its machine; null where there is none, or more than one. */
  readonly roomId: string | null
}

/** Why the store did not take readings. */
export class HistoryRefusedError extends Error {
  override readonly name = 'HistoryRefusedError'
  readonly code = 'HISTORY_REFUSED'
}

/** A store of years beside the book of record. */
export interface HistoryWriter {
  /**
   * HW-1: resolves once the store holds all of them.
   * HW-2: the same readings again change nothing.
   * HW-3: rejects when the store cannot be reached or is not ready: then all may be offered again later. Rejects with
   * HistoryRefusedError when the store says that these very readings will never do.
   */
  write: (readings: readonly PlacedReading[]) => Promise<void>
}
