import { mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import type { NodeClock } from '../node-clock.ts'
import { type BoundedQueue, createBoundedQueue, firstSampleOf } from './bounded-queue.ts'
import { readCursor, writeCursor } from './cursor-file.ts'
import { type Outbox, type OutboxEntry, OutboxError, type OutboxLimits } from './outbox.ts'
import { createSegmentFile, readPart, type SegmentFile } from './segment-file.ts'
import { parseStoredLine, toStoredLine } from './stored-line.ts'

export interface DiskOutboxOptions {
  /** Made when it is missing, for this user alone. One node a folder. */
  readonly directory: string
  /** Of what waits. The folder may hold one segment more: an eighth of it, at most 256 kB. */
  readonly limits: OutboxLimits
  readonly clock: NodeClock
}

/** Where an entry lies: a line without its line feed. */
interface Lies {
  readonly id: number
  readonly path: string
  readonly at: number
  readonly bytes: number
}

/** Removals after which the cursor is written though packs still wait. */
const CURSOR_EVERY = 64
const SEGMENT_NAME = /^\d{12}\.packs$/

/**
 * An outbox of append-only segment files, each named by its first id and removed when all of it has gone. What is
 * appended is on disk before `append` returns. A crash between the broker's word and the cursor sends some packs
 * again, never fewer. Every start begins a new segment, so a torn line has nothing behind it.
 *
 * @throws {OutboxError} `OUTBOX_OPEN` when the folder cannot be used.
 */
export function createDiskOutbox({ directory, limits, clock }: DiskOutboxOptions): Outbox {
  const segmentBytes = Math.min(256 * 1024, Math.ceil(limits.maxBytes / 8))
  const cursorPath = join(directory, 'cursor.json')
  const found = openFolder(directory, cursorPath)
  const cursor = readCursor(cursorPath)
  const waitingIn = new Map<string, number>()
  let active: SegmentFile | null = null
  let tornLines = found.tornLines
  let sinceCursor = 0
  let nextId = Math.max(cursor.doneThrough, found.entries.at(-1)?.lies.id ?? 0) + 1

  const queue: BoundedQueue<Lies> = createBoundedQueue<Lies>({
    limits,
    clock,
    droppedBefore: cursor.droppedPacks,
    onGone: ({ held }) => {
      sinceCursor++
      const left = (waitingIn.get(held.path) ?? 1) - 1
      waitingIn.set(held.path, left)
      if (left === 0 && held.path !== active?.path) discard(held.path)
    },
  })
  const discard = (path: string): void => {
    // The cursor first: were it lost with the file, ids would begin anew below it.
    saveCursor()
    waitingIn.delete(path)
    removeQuietly(path)
  }
  const saveCursor = (): void => {
    const doneThrough = (queue.headId() ?? nextId) - 1
    if (writeCursor(cursorPath, { doneThrough, droppedPacks: queue.counts().droppedPacks })) sinceCursor = 0
  }
  const saveCursorWhenDue = (): void => {
    if (sinceCursor > 0 && (queue.headId() === null || sinceCursor >= CURSOR_EVERY)) saveCursor()
  }
  const enqueue = (entry: OutboxEntry, lies: Lies): void => {
    waitingIn.set(lies.path, (waitingIn.get(lies.path) ?? 0) + 1)
    queue.push({
      id: entry.id,
      bytes: lies.bytes + 1,
      bootId: entry.bootId,
      firstSample: firstSampleOf(entry),
      held: lies,
    })
  }
  const closeActive = (): void => {
    const closed = active
    active = null
    closed?.close()
    if (closed && waitingIn.get(closed.path) === 0) discard(closed.path)
  }
  const activeFor = (id: number): SegmentFile => {
    if (active && (!active.isSound() || active.bytes() >= segmentBytes)) closeActive()
    active ??= createSegmentFile(join(directory, `${String(id).padStart(12, '0')}.packs`))
    return active
  }

  for (const path of found.paths) waitingIn.set(path, 0)
  for (const { entry, lies } of found.entries) if (entry.id > cursor.doneThrough) enqueue(entry, lies)
  for (const [path, waiting] of waitingIn) if (waiting === 0) discard(path)

  return {
    append: (pack) => {
      firstSampleOf(pack)
      const entry = { ...pack, id: nextId }
      const line = toStoredLine(entry)
      try {
        const segment = activeFor(entry.id)
        const at = segment.append(line)
        nextId++
        enqueue(entry, { id: entry.id, path: segment.path, at, bytes: line.length - 1 })
      } catch (error) {
        const cure = 'free disk space, check that the folder can be written and that no other node uses it'
        throw new OutboxError('OUTBOX_WRITE', `outbox ${directory} cannot be written: ${cure}`, {
          cause: error,
        })
      }
      saveCursorWhenDue()
    },
    peek: (query) => {
      queue.prune()
      saveCursorWhenDue()
      return queue.after(query).flatMap((lies) => {
        const entry = readEntry(lies)
        if (entry) return [entry]
        tornLines++
        queue.remove(lies.id)
        return []
      })
    },
    remove: (id) => {
      if (queue.remove(id)) saveCursorWhenDue()
    },
    drop: (id) => {
      if (queue.drop(id)) saveCursorWhenDue()
    },
    stats: () => ({ ...queue.counts(), tornLines }),
    close: () => {
      closeActive()
      saveCursor()
    },
  }
}

interface Found {
  readonly paths: readonly string[]
  readonly entries: readonly { readonly entry: OutboxEntry; readonly lies: Lies }[]
  readonly tornLines: number
}

function openFolder(directory: string, cursorPath: string): Found {
  try {
    mkdirSync(directory, { recursive: true, mode: 0o700 })
    const paths = readdirSync(directory)
      .filter((name) => SEGMENT_NAME.test(name))
      .sort()
      .map((name) => join(directory, name))
    rmSync(`${cursorPath}.new`, { force: true })
    const segments = paths.map(readSegment)
    return {
      paths,
      entries: segments.flatMap((s) => s.entries),
      tornLines: segments.reduce((sum, s) => sum + s.tornLines, 0),
    }
  } catch (error) {
    throw new OutboxError(
      'OUTBOX_OPEN',
      `outbox ${directory} cannot be opened: give a folder that this user may write`,
      {
        cause: error,
      },
    )
  }
}

function readSegment(path: string): Omit<Found, 'paths'> {
  const content = readFileSync(path)
  const entries: { entry: OutboxEntry; lies: Lies }[] = []
  let tornLines = 0
  for (let at = 0; at < content.length;) {
    const feed = content.indexOf(10, at)
    const end = feed === -1 ? content.length : feed
    const entry = parseStoredLine(content.subarray(at, end))
    if (entry) entries.push({ entry, lies: { id: entry.id, path, at, bytes: end - at } })
    else tornLines++
    at = end + 1
  }
  return { entries, tornLines }
}

/** Null when the disk no longer gives back what was written. */
function readEntry({ path, at, bytes }: Lies): OutboxEntry | null {
  try {
    return parseStoredLine(readPart(path, { at, bytes }))
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null
    throw new OutboxError('OUTBOX_READ', `${path} cannot be read: check the disk`, { cause: error })
  }
}

/** What cannot be removed now is removed at the next start. */
function removeQuietly(path: string): void {
  try {
    rmSync(path, { force: true })
  } catch {
    // A disk that has turned read-only; the next append will say so.
  }
}
