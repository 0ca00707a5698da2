import { createRowReader, readHeading, type ReadingColumns } from '../codecs/readings-csv.ts'
import type { LineBlock } from '../codecs/text-lines.ts'
import { JUDGED_WITHIN_MS } from '../core/kernel/step.ts'
import type { Reading } from '../core/model/input.ts'
import type { ImportMark, ReadingImport } from '../core/model/ports/reading-import.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import type { BadRow, BadRowFile } from './bad-rows.ts'
import { createHeardNotes } from './heard-notes.ts'
import { ImportFileError, openText } from './import-source.ts'
import type { KernelKeeper } from './kernel-keeper.ts'

/** A start replays what no snapshot holds yet: at most so many blocks of rows. */
const SNAPSHOT_EVERY_BLOCKS = 20
/** So many rows, none of them usable, and the file is another one than was meant. */
const HOPELESS_ROWS = 1_000

export interface ImportParts {
  readonly book: BookOfRecord
  readonly keeper: KernelKeeper
  readonly store: ReadingImport
  readonly nowMs: () => number
  /** How long single readings are kept: of older ones only the records of minutes may be left. */
  readonly keptMs: number
}

export interface ImportRun {
  readonly path: string
  readonly fileName: string
  readonly fileHash: string
  readonly openBadRows: (keptBytes: number) => BadRowFile
  /** Told after each commit; gives false to stop there. */
  readonly progress: (mark: ImportMark, bytesRead: number) => boolean
}

/**
 * Brings a file of readings into the book of record.
 *
 * IMPORT-1 a block of rows and the mark of how far the file was read are one transaction: whenever the process ends,
 *          the same file goes on behind the last block, and no row is left out or counted twice.
 * IMPORT-2 what is held already is counted and changes nothing; another value for the same moment is kept apart.
 * IMPORT-3 readings are inputs like any other: records of minutes follow from them, a second store is handed them, and
 *          those of the last 72 h are judged as late ones. Nobody was heard by it.
 * IMPORT-4 a row that cannot be used is written to a file of its own with its line, field and cure. It stops nothing,
 *          unless not one of the first thousand can be used.
 * IMPORT-5 where only the record of a minute is left, a reading of it is left out: nobody can say whether it is counted.
 */
export async function importReadings(parts: ImportParts, run: ImportRun): Promise<ImportMark> {
  const { path, fileHash, fileName } = run
  const kept = parts.store.mark(fileHash)
  if (kept?.done === true) return kept
  const columns = await headingOf(path)
  const begun: ImportMark = kept ?? { ...EMPTY, fileHash, fileName, atMs: parts.nowMs() }
  const badRows = run.openBadRows(begun.badFileBytes)
  try {
    return await readOn(parts, { ...run, columns, badRows }, begun)
  } finally {
    badRows.close()
  }
}

const EMPTY = {
  added: 0,
  held: 0,
  conflicts: 0,
  covered: 0,
  notJudged: 0,
  bad: 0,
  bytes: 0,
  lines: 0,
  badFileBytes: 0,
  done: false,
} as const

/** @throws {ImportFileError} */
async function headingOf(path: string): Promise<ReadingColumns> {
  const { blocks } = openText(path, 0)
  const first = await blocks.next()
  await blocks.return(undefined)
  const columns = readHeading(first.done === true ? undefined : first.value.lines[0])
  if (typeof columns === 'string') throw new ImportFileError(`${path}: ${columns}`)
  return columns
}

type OpenRun = ImportRun & { readonly columns: ReadingColumns; readonly badRows: BadRowFile }

async function readOn(parts: ImportParts, run: OpenRun, begun: ImportMark): Promise<ImportMark> {
  const { book, keeper, store, nowMs } = parts
  const rowOf = createRowReader(run.columns, nowMs())
  const { blocks, bytesRead } = openText(run.path, begun.bytes)
  let mark = begun
  let blocksTaken = 0
  for await (const block of blocks) {
    const rows = rowsOf(block, mark.lines, rowOf)
    refuseHopeless(run.path, mark, rows)
    const badFileBytes = run.badRows.add(rows.bad)
    mark = book.transaction(() => {
      const next = { ...mark, ...countsAfter(mark, rows, takeIn(parts, rows.readings)) }
      const through = {
        bytes: mark.bytes + block.bytes,
        lines: mark.lines + block.lines.length,
        badFileBytes,
        atMs: nowMs(),
      }
      store.saveMark({ ...next, ...through })
      keeper.beforeCommit(nowMs(), ++blocksTaken % SNAPSHOT_EVERY_BLOCKS === 0 ? 'always' : undefined)
      return { ...next, ...through }
    })
    if (!run.progress(mark, bytesRead())) {
      await blocks.return(undefined)
      return mark
    }
  }
  mark = { ...mark, done: true }
  book.transaction(() => {
    store.saveMark(mark)
    keeper.beforeCommit(nowMs(), 'always')
  })
  run.progress(mark, bytesRead())
  return mark
}

interface Rows {
  readonly readings: readonly Reading[]
  readonly bad: readonly BadRow[]
}

function rowsOf({ lines }: LineBlock, linesBefore: number, rowOf: ReturnType<typeof createRowReader>): Rows {
  const readings: Reading[] = []
  const bad: BadRow[] = []
  lines.forEach((line, i) => {
    // The heading, and empty lines.
    if (linesBefore + i === 0 || line === '') return
    const row = rowOf(line)
    if (row.ok) readings.push(row.reading)
    else bad.push({ ...row.problem, line: linesBefore + i + 1, text: line ?? '' })
  })
  return { readings, bad }
}

/** @throws {ImportFileError} */
function refuseHopeless(path: string, mark: ImportMark, { readings, bad }: Rows): void {
  const [first] = bad
  if (first === undefined || mark.lines > 0 || readings.length > 0 || bad.length < HOPELESS_ROWS) return
  throw new ImportFileError(
    `${path}: not one of the first ${bad.length} rows can be used. Line ${first.line}, ${first.field}: ${first.problem}`,
  )
}

type Taken = Pick<ImportMark, 'added' | 'held' | 'conflicts' | 'covered' | 'notJudged'>

function countsAfter(mark: ImportMark, { bad }: Rows, taken: Taken): Taken & Pick<ImportMark, 'bad'> {
  return {
    added: mark.added + taken.added,
    held: mark.held + taken.held,
    conflicts: mark.conflicts + taken.conflicts,
    covered: mark.covered + taken.covered,
    notJudged: mark.notJudged + taken.notJudged,
    bad: mark.bad + bad.length,
  }
}

/** One input a node, as if it had sent them. */
function takeIn({ book, keeper, store, nowMs, keptMs }: ImportParts, readings: readonly Reading[]): Taken {
  const receivedMs = nowMs()
  const { fresh, resent, conflicts } = book.sortReadings(readings)
  if (conflicts.length > 0) book.keepConflicts(conflicts, receivedMs)
  const added = withoutCovered(store, fresh, receivedMs - keptMs)
  const heard = createHeardNotes()
  for (const [nodeId, its] of byNode(added)) {
    const atMs = its.at(-1)?.atMs ?? receivedMs
    // Heard when it was measured: nobody speaks now.
    heard.note({ nodeId, pack: null, readings: its, intervalMsOf: NO_INTERVALS }, atMs)
    keeper.take({ type: 'readings', atMs, receivedMs, nodeId, imported: true, readings: its })
  }
  book.noteHeard(heard.notes())
  const oldestJudgedMs = receivedMs - JUDGED_WITHIN_MS
  return {
    added: added.length,
    held: resent,
    conflicts: conflicts.length,
    covered: fresh.length - added.length,
    notJudged: added.filter((r) => r.atMs < oldestJudgedMs).length,
  }
}

const NO_INTERVALS: ReadonlyMap<string, number> = new Map()

function withoutCovered(
  store: ReadingImport,
  fresh: readonly Reading[],
  keptFromMs: number,
): readonly Reading[] {
  const old = fresh.filter((r) => r.atMs < keptFromMs)
  if (old.length === 0) return fresh
  const isCovered = store.covered(old)
  const gone = new Set(old.filter((_, i) => isCovered[i] === true))
  return gone.size === 0 ? fresh : fresh.filter((r) => !gone.has(r))
}

/** Each node's readings in the order in which the engine hands packs over. */
function byNode(readings: readonly Reading[]): ReadonlyMap<string, Reading[]> {
  const nodes = new Map<string, Reading[]>()
  for (const reading of readings) {
    const nodeId = reading.sensorId.slice(0, reading.sensorId.indexOf('/'))
    const its = nodes.get(nodeId)
    if (its) its.push(reading)
    else nodes.set(nodeId, [reading])
  }
  for (const its of nodes.values()) its.sort(inOrder)
  return nodes
}

function inOrder(a: Reading, b: Reading): number {
  if (a.atMs !== b.atMs) return a.atMs - b.atMs
  const [left, right] = [`${a.sensorId}|${a.quantity}`, `${b.sensorId}|${b.quantity}`]
  return left < right ? -1 : left > right ? 1 : 0
}
