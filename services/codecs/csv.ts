import { stringify } from 'csv-stringify/sync'

export const CSV_CONTENT_TYPE = 'text/csv; charset=utf-8'

/** A column: its heading, and what stands in it. Numbers are written with a point; null is an empty cell. */
export interface CsvColumn<Row> {
  readonly heading: string
  readonly cell: (row: Row) => string | number | null
}

/**
 * Rows as CSV (RFC 4180): lines end in CRLF, a cell with a comma, a quote or a line break is quoted, and quotes in it are
 * doubled. A text that a spreadsheet would take for a formula is led by an apostrophe, so that it stays a text.
 */
export function toCsv<Row>(columns: readonly CsvColumn<Row>[], rows: readonly Row[]): string {
  const lines = [columns.map((c) => c.heading), ...rows.map((row) => columns.map((c) => c.cell(row)))]
  return stringify(lines, { record_delimiter: 'windows', escape_formulas: true })
}
