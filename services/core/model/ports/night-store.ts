import type { StoredNight } from '../night-exposure.ts'
import type { Verdict } from '../verdict.ts'

/** A time of a machine or a sensor about which something new was heard. */
export interface TouchedHour {
  readonly kind: 'machine' | 'sensor'
  readonly id: string
  /** Whole hours since 1970, UTC. */
  readonly hour: number
}

/** A night of a machine, whatever its channel groups. */
export interface NightOfMachine {
  readonly machineId: string
  readonly nightOf: string
}

export interface NightRenewal {
  readonly modelVersion: string
  /** The newest input that was known when they were worked out. */
  readonly throughSeq: number
  /** When that was, by the monitor's clock. */
  readonly nowMs: number
  /** Nights that are replaced, with all their channel groups, or dropped. */
  readonly replaced: readonly NightOfMachine[]
  readonly nights: readonly StoredNight[]
}

/** A verdict as it stood at the end of a month, never changed afterwards. */
export interface KeptVerdict {
  /** The month that had just ended, `2026-03`. */
  readonly month: string
  /** The first day that had no part in it, in days since 1970-01-01. */
  readonly fromDay: number
  readonly frozenMs: number
  readonly modelVersion: string
  readonly verdict: Verdict
}

/** Nights as Causes counts them. Worked out of the book of record, kept beside it, and made anew at any time. */
export interface NightStore {
  /** NE-1: through which input the nights of this version are worked out; 0 where there are none. */
  throughSeq: (modelVersion: string) => number
  /** NE-2: replaces nights in one transaction; what is not named stays, and other versions do. */
  renew: (renewal: NightRenewal) => void
  /** NE-3: all nights of a version, by machine, channel group and night. */
  nights: (modelVersion: string) => readonly StoredNight[]
  /** NE-4: grows with each renewal that changed a night, and with each verdict frozen. */
  revision: () => number
  /** NE-9: grows with each nozzle check and head change that is logged or corrected, and with no other entry. */
  logRevision: () => number
  /** NE-5: hours of which quarters were noted or readings came with inputs after `seq`, each once. */
  touchedAfter: (seq: number) => readonly TouchedHour[]
  /** NE-8: when nights were last renewed, by the monitor's clock; null before the first time. */
  renewedMs: () => number | null
  /** NE-6: keeps the verdicts of a month; of a month that has some already nothing is changed. Gives whether it did. */
  freeze: (verdicts: readonly KeptVerdict[]) => boolean
  /** NE-7: all that were frozen, the newest month first. */
  frozen: () => readonly KeptVerdict[]
}
