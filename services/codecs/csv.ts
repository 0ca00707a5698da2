import { stringify } from 'csv-stringify/sync'

export const CSV_CONTENT_TYPE = 'text/csv; charset=utf-8'

/** A column: its heading, and what stands in it. Numbers are written with a point; null is an empty cell. */
export interface CsvColumn<Row> {
  readonly heading: string
  readonly cell: (row: Row) => string | number | null
}

/** So many rows are a piece: some ms of work. Starting value. */
const ROWS_IN_PIECE = 100

/**
 * Rows as CSV (RFC 4180): lines end in CRLF, a cell with a comma, a quote or a line break is quoted, and quotes in it are
 * doubled. A text that a spreadsheet would take for a formula is led by an apostrophe, so that it stays a text.
 */
export function toCsv<Row>(columns: readonly CsvColumn<Row>[], rows: Iterable<Row>): string {
  return [...csvPieces(columns, rows)].join('')
}

/** As `toCsv`, the head first and then some rows at a time; each piece ends with its line. */
export function* csvPieces<Row>(columns: readonly CsvColumn<Row>[], rows: Iterable<Row>): Generator<string> {
  yield toLines([columns.map((c) => c.heading)])
  let piece: (string | number | null)[][] = []
  for (const row of rows) {
    piece.push(columns.map((c) => c.cell(row)))
    if (piece.length < ROWS_IN_PIECE) continue
    yield toLines(piece)
    piece = []
  }
  if (piece.length > 0) yield toLines(piece)
}

function toLines(lines: readonly (readonly (string | number | null)[])[]): string {
  const cells = lines.map((line) => line.map((cell) => (typeof cell === 'string' ? asText(cell) : cell)))
  return stringify(cells, { record_delimiter: 'windows' })
}

/** How a formula begins, full-width signs too, behind any apostrophes that make it a text. */
const FORMULA = /^'*[=+\-@\t\r\uFF1D\uFF0B\uFF0D\uFF20]/

/** A cell that is a text and no formula, whatever it begins with. One that looks led already is led once more. */
function asText(cell: string): string {
  return FORMULA.test(cell) ? `'${cell}` : cell
}

/** What `toCsv` wrote, without the apostrophe that it led a formula with. */
export function withoutLead(cell: string): string {
  return cell.startsWith("'") && FORMULA.test(cell) ? cell.slice(1) : cell
}
