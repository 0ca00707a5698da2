import { pipeline } from 'node:stream/promises'
import { CsvError, parse } from 'csv-parse'
import { withoutLead } from './csv.ts'
import { inTurns } from './turns.ts'

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

/** So much is parsed in one turn; a few hundred lines. Starting value. */
const PIECE_CHARACTERS = 16_384

/** As `csv-parse` gives it with `info`. */
interface CsvRecord {
  readonly info: { readonly lines: number }
  readonly record: readonly string[]
}

/**
 * Reads CSV (RFC 4180) as spreadsheets write it: comma, semicolon or tab, whichever its first line has most of; with or
 * without a byte order mark; headings in any case. An apostrophe that `toCsv` led a formula with is taken off again.
 * Nothing throws: what is no CSV is a value that says where. A few lines are read a turn, so that others have theirs.
 */
export async function readCsv(text: string): Promise<CsvFile> {
  const parser = parse({
    bom: true,
    delimiter: delimiterOf(text),
    info: true,
    trim: true,
    relax_column_count: true,
    skip_empty_lines: true,
    skip_records_with_empty_values: true,
    max_record_size: 100_000,
  })
  const records: CsvRecord[] = []
  try {
    await pipeline(inTurns(piecesOf(text), 1), parser, async (read: AsyncIterable<CsvRecord>) => {
      for await (const record of read) records.push(record)
    })
  } catch (error) {
    if (error instanceof CsvError) return { ok: false, bad: badFile(error) }
    throw error
  }
  return toFile(records)
}

/** The text in pieces, none of which ends in the middle of a character. */
function* piecesOf(text: string): Generator<string> {
  for (let from = 0, to = 0; from < text.length; from = to) {
    to = from + PIECE_CHARACTERS
    if (isHighSurrogate(text.charCodeAt(to - 1))) to++
    yield text.slice(from, to)
  }
}

function isHighSurrogate(code: number): boolean {
  return code >= 0xd800 && code <= 0xdbff
}

async function toFile([head, ...rest]: readonly CsvRecord[]): Promise<CsvFile> {
  if (!head)
    return {
      ok: false,
      bad: { line: 1, field: 'file', reason: 'is empty: the first line names the columns' },
    }
  const headings = head.record.map(headingOf)
  const places = new Map<string, number>()
  for (const [at, heading] of headings.entries()) {
    if (heading === '') continue
    if (places.has(heading))
      return {
        ok: false,
        bad: { line: 1, field: heading, reason: 'stands twice in the first line: keep one' },
      }
    places.set(heading, at)
  }
  const rows: CsvRow[] = []
  for await (const record of inTurns(rest)) rows.push(toRow(record, places))
  return { ok: true, headings: [...places.keys()], rows }
}

function toRow({ info, record }: CsvRecord, places: ReadonlyMap<string, number>): CsvRow {
  return {
    // A cell with line breaks in it: an editor is led to where its record begins.
    line: info.lines - record.reduce((n, cell) => n + (cell.match(/\n/g)?.length ?? 0), 0),
    cell: (heading) => {
      const at = places.get(heading)
      return at === undefined ? '' : withoutLead(record[at] ?? '')
    },
  }
}

function headingOf(cell: string): string {
  return cell
    .trim()
    .toLowerCase()
    .replaceAll(/[\s-]+/g, '_')
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
