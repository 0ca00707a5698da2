import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import type { RecordedFacts } from '../parts/memory-book-of-record.ts'

/** A book of record, and what it shows of what it was told. */
export interface Records {
  readonly book: BookOfRecord
  readonly facts: RecordedFacts
}
