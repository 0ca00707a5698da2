export type RecordsErrorCode =
  | 'RECORDS_FOLDER'
  | 'RECORDS_IN_USE'
  | 'RECORDS_CORRUPT'
  | 'RECORDS_NEWER'
  | 'RECORDS_NONE'
  | 'RECORDS_NO_ROOM'
  | 'RECORDS_TAKEN'
  | 'RECORDS_SEQUENCE'
  | 'RECORDS_READING_HELD'

/** The book of record cannot be used; the message says why and what to do. Nothing was overwritten. */
export class RecordsError extends Error {
  override readonly name = 'RecordsError'
  readonly code: RecordsErrorCode
  constructor(code: RecordsErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.code = code
  }
}

/** What a caught value says of itself. */
export function reasonOf(cause: unknown): string {
  return cause instanceof Error ? cause.message : String(cause)
}
