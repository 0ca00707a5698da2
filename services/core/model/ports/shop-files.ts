import type { Disposal } from '../disposal.ts'
import type { Reading } from '../input.ts'
import type { LogEntry } from '../log-entry.ts'
import type { Quantity } from '../quantity.ts'
import type { Settings } from '../settings.ts'

/** What a minute of a series came to. Kept for good, while single readings go after 13 months. */
export interface MinuteRecord {
  readonly sensorId: string
  readonly quantity: Quantity
  /** Start of the minute. */
  readonly atMs: number
  readonly count: number
  readonly min: number
  readonly sum: number
  readonly max: number
  readonly lastMs: number
  readonly last: number
}

export interface KeptSeries {
  readonly sensorId: string
  readonly quantity: Quantity
}

/** Everything of a shop that leaves in files, as of one moment, however long the reading takes. */
export interface ShopReader {
  /** SF-1: settings in force, or null where there never were any. */
  readonly settings: () => Settings | null
  /** SF-2: every series, in order of sensor and quantity. */
  readonly series: () => readonly KeptSeries[]
  /** SF-3: readings of [fromMs, toMs), oldest first. */
  readonly readings: (series: KeptSeries, window: { fromMs: number; toMs: number }) => Iterable<Reading>
  /** SF-4: minutes whose record counts more readings than are held, oldest first. */
  readonly minutes: (series: KeptSeries) => Iterable<MinuteRecord>
  /** SF-5: all entries, corrections too, in the order in which they were made. */
  readonly logEntries: () => Iterable<LogEntry>
  readonly disposals: () => Iterable<Disposal>
  readonly close: () => void
}

/** Takes records of minutes back in; in the book's own transactions. */
export interface MinuteStore {
  /**
   * SF-6: a record that counts more readings than the one held takes its place, and hours and days take up the
   * difference; any other changes nothing. Gives how many took a place.
   */
  readonly takeMinutes: (records: readonly MinuteRecord[]) => number
}
