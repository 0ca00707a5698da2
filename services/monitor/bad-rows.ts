import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readSync,
  rmSync,
  statSync,
  truncateSync,
  writeSync,
} from 'node:fs'
import { toCsv } from '../codecs/csv.ts'
import type { RowProblem } from '../codecs/readings-csv.ts'
import { ImportFileError } from './import-source.ts'

export interface BadRow extends RowProblem {
  /** 1 is the heading. */
  readonly line: number
  readonly text: string
}

/** Rows that could not be used, in a file beside the one they came from. */
export interface BadRowFile {
  /** Writes rows to the disk; gives how long the file is now. */
  readonly add: (rows: readonly BadRow[]) => number
  readonly bytes: () => number
  readonly close: () => void
}

const COLUMNS = [
  { heading: 'line', cell: (row: BadRow) => row.line },
  { heading: 'field', cell: (row: BadRow) => row.field },
  { heading: 'problem', cell: (row: BadRow) => row.problem },
  { heading: 'row', cell: (row: BadRow) => row.text },
]
const SHOWN_CHARACTERS = 300

/**
 * Goes on behind the first `keptBytes`, which a commit stands for; what stands behind them goes. The file is made when
 * there is a first row for it, and takes the place of an earlier one of its kind, but of no other file.
 *
 * @throws {ImportFileError} where something else stands under this name
 */
export function openBadRows(path: string, keptBytes: number): BadRowFile {
  refuseOtherFile(path)
  const isWhole = keptBytes > 0 && existsSync(path) && statSync(path).size >= keptBytes
  if (isWhole) truncateSync(path, keptBytes)
  else rmSync(path, { force: true })
  let bytes = isWhole ? keptBytes : 0
  let file: number | null = null
  return {
    add: (rows) => {
      if (rows.length === 0) return bytes
      file ??= openSync(path, isWhole ? 'r+' : 'wx', 0o600)
      const shown = rows.map((row) => ({ ...row, text: row.text.slice(0, SHOWN_CHARACTERS) }))
      const text = toCsv(COLUMNS, shown)
      const part = Buffer.from(bytes === 0 ? text : text.slice(text.indexOf('\r\n') + 2))
      writeSync(file, part, 0, part.length, bytes)
      fsyncSync(file)
      bytes += part.length
      return bytes
    },
    bytes: () => bytes,
    close: () => {
      if (file !== null) closeSync(file)
      file = null
    },
  }
}

function refuseOtherFile(path: string): void {
  if (!existsSync(path)) return
  const heading = toCsv(COLUMNS, []).trimEnd()
  if (statSync(path).isFile()) {
    const begins = firstBytes(path, heading.length)
    if (begins.length < heading.length ? heading.startsWith(begins) : begins === heading) return
  }
  throw new ImportFileError(
    `${path} is there already and holds something else, which stays: name another file for bad rows`,
  )
}

function firstBytes(path: string, count: number): string {
  const bytes = Buffer.alloc(count)
  const file = openSync(path, 'r')
  try {
    return bytes.toString('utf8', 0, readSync(file, bytes, 0, count, 0))
  } finally {
    closeSync(file)
  }
}
