import type { Reading } from '../input.ts'

/** What became of the rows of a file so far. */
export interface ImportCounts {
  /** Not held before. */
  readonly added: number
  /** Held already, with the same value. */
  readonly held: number
  /** Held already with another value: kept apart. */
  readonly conflicts: number
  /** Of minutes that are told by their record alone: nobody can say whether it counts them, so they are left out. */
  readonly covered: number
  /** Of those added, how many were too old to be judged. */
  readonly notJudged: number
  /** Rows that could not be used; they stand in a file of their own. */
  readonly bad: number
}

/** How far a file was taken in. */
export interface ImportMark extends ImportCounts {
  /** SHA-256 of the file, in hex. */
  readonly fileHash: string
  readonly fileName: string
  /** Bytes of the (unpacked) text behind us, and lines. */
  readonly bytes: number
  readonly lines: number
  /** Bytes that the file of unusable rows had then; what stands behind them belongs to a commit that never was. */
  readonly badFileBytes: number
  readonly done: boolean
  readonly atMs: number
}

/** What bringing in files of readings needs of the store, beside the book of record; in the book's own transactions. */
export interface ReadingImport {
  /** RI-1: how far a file was taken in, or null; the mark that was saved last. */
  mark: (fileHash: string) => ImportMark | null
  saveMark: (mark: ImportMark) => void
  /** RI-2: for each reading, whether its minute is told by a record that counts readings which are not held. */
  covered: (readings: readonly Reading[]) => readonly boolean[]
}
