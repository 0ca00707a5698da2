import { createHash } from 'node:crypto'
import { once } from 'node:events'
import { createWriteStream } from 'node:fs'
import { Readable, Transform, type TransformCallback } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { createGzip } from 'node:zlib'

export interface WrittenFile {
  readonly rows: number
  /** Of the file as it lies there, packed or not; in hex. */
  readonly sha256: string
}

const PIECE_CHARACTERS = 256 * 1024

/** Lines joined to pieces, so that neither a stream nor a socket is asked for each of them. */
export function* piecesOf(lines: Iterable<string>, lineEnd: string): Generator<string> {
  let piece = ''
  for (const line of lines) {
    piece += line + lineEnd
    if (piece.length >= PIECE_CHARACTERS) {
      yield piece
      piece = ''
    }
  }
  if (piece !== '') yield piece
}

/**
 * Writes lines to a new file that only this user may read; packed where its name ends in `.gz`, the same bytes for the
 * same lines. `heading` is no row. When this rejects nothing writes to the file any more.
 */
export async function writeLines(
  path: string,
  { heading, lines, lineEnd }: { heading: string | null; lines: Iterable<string>; lineEnd: string },
  signal?: AbortSignal,
): Promise<WrittenFile> {
  let rows = 0
  const counted = function* (): Generator<string> {
    if (heading !== null) yield heading
    for (const line of lines) {
      rows++
      yield line
    }
  }
  const hash = createHash('sha256')
  const hashing = new Transform({
    transform: (piece: Buffer, _, done: TransformCallback) => {
      hash.update(piece)
      done(null, piece)
    },
  })
  const text = Readable.from(piecesOf(counted(), lineEnd), {
    objectMode: false,
    highWaterMark: PIECE_CHARACTERS,
  })
  const file = createWriteStream(path, { flags: 'wx', mode: 0o600, flush: true })
  const options = signal ? { signal } : {}
  try {
    if (path.replace(/\.part$/, '').endsWith('.gz'))
      await pipeline(text, createGzip(), hashing, file, options)
    else await pipeline(text, hashing, file, options)
  } catch (error) {
    // A file that is still being opened would appear after whoever asked has cleared up.
    if (!file.closed) await once(file, 'close')
    throw error
  }
  return { rows, sha256: hash.digest('hex') }
}
