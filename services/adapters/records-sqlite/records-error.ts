export type RecordsErrorCode =
  'RECORDS_FOLDER' | 'RECORDS_IN_USE' | 'RECORDS_CORRUPT' | 'RECORDS_NEWER' | 'RECORDS_SEQUENCE'

/** The book of record cannot be used; the message says why and what to do. Nothing was overwritten. */
export class RecordsError extends Error {
  override readonly name = 'RecordsError'
  readonly code: RecordsErrorCode
  constructor(code: RecordsErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.code = code
  }
}
