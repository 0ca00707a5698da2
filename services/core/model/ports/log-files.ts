import type { LogKind } from '../log-entry.ts'
import type { LogWindow } from './records.ts'

/** The logbook as files. */
export interface LogFiles {
  /**
   * FILE-1: the entries of a kind as CSV, the oldest first, as they stood in one moment; written aside, a piece at a time.
   * It ends with an error if the book cannot be read.
   * FILE-2: one is written at a time; a second waits. Whoever listens no longer (`return` of the iterator) ends it.
   */
  readonly csv: (kind: LogKind, window: LogWindow) => AsyncIterable<string>
}
