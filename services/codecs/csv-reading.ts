import { CsvError, parse } from 'csv-parse/sync'

/** What a file may hold: more is cut into several. */
export const MOST_CSV_CHARACTERS = 5_000_000

/** A line of a file that cannot be taken: where, which column, and what to do about it. */
export interface BadRow {
  readonly line: number
  readonly field: string
  readonly reason: string
}

/** A line of a file: its number as an editor counts, and its cells by heading. */
export interface CsvRow {
  readonly line: number
  readonly cell: (heading: string) => string
}

export type CsvFile =
  | { readonly ok: true; readonly headings: readonly string[]; readonly rows: readonly CsvRow[] }
  | { readonly ok: false; readonly bad: BadRow }

/**
 * Reads CSV (RFC 4180) as spreadsheets write it: comma, semicolon or tab, whichever its first line has most of; with or
 * without a byte order mark; headings in any case. An apostrophe that `toCsv` led a formula with is taken off again.
 * Nothing throws: what is no CSV is a value that says where.
 */
export function readCsv(text: string): CsvFile {
  try {
    const records = parse(text, {
      bom: true,
      delimiter: delimiterOf(text),
      info: true,
      trim: true,
      relax_column_count: true,
      skip_empty_lines: true,
      skip_records_with_empty_values: true,
      max_record_size: 100_000,
    }) as unknown as readonly { info: { lines: number }; record: readonly string[] }[]
    return toFile(records)
  } catch (error) {
    if (error instanceof CsvError) return { ok: false, bad: badFile(error) }
    throw error
  }
}

function toFile(records: readonly { info: { lines: number }; record: readonly string[] }[]): CsvFile {
  const [head, ...rest] = records
  if (!head)
    return {
      ok: false,
      bad: { line: 1, field: 'file', reason: 'is empty: the first line names the columns' },
    }
  const headings = head.record.map(headingOf)
  const twice = headings.find((h, at) => h !== '' && headings.indexOf(h) !== at)
  if (twice !== undefined)
    return { ok: false, bad: { line: 1, field: twice, reason: 'stands twice in the first line: keep one' } }
  return {
    ok: true,
    headings: headings.filter((h) => h !== ''),
    rows: rest.map(({ info, record }) => ({
      // A cell with line breaks in it: an editor is led to where its record begins.
      line: info.lines - record.reduce((n, cell) => n + (cell.match(/\n/g)?.length ?? 0), 0),
      cell: (heading) => {
        const at = headings.indexOf(heading)
        return at < 0 ? '' : plain(record[at] ?? '')
      },
    })),
  }
}

function headingOf(cell: string): string {
  return cell
    .trim()
    .toLowerCase()
    .replaceAll(/[\s-]+/g, '_')
}

function plain(cell: string): string {
  return /^'[=+\-@\t\r]/.test(cell) ? cell.slice(1) : cell
}

function delimiterOf(text: string): string {
  const first = text.slice(0, text.indexOf('\n') < 0 ? undefined : text.indexOf('\n'))
  const count = (mark: string) => first.split(mark).length
  return [',', ';', '\t'].reduce((best, mark) => (count(mark) > count(best) ? mark : best))
}

function badFile(error: CsvError): BadRow {
  const lines: unknown = error['lines']
  const line = typeof lines === 'number' ? lines : 1
  const reason =
    error.code === 'CSV_MAX_RECORD_SIZE'
      ? 'a record is longer than 100,000 characters: perhaps a quotation mark is not closed'
      : 'a quotation mark stands where none can be, or is not closed: quote whole cells, and double quotes within'
  return { line, field: 'file', reason }
}
