import { createHash } from 'node:crypto'
import { createReadStream, type ReadStream } from 'node:fs'
import { createGunzip } from 'node:zlib'
import { lineBlocks, type LineBlock } from '../codecs/text-lines.ts'
import { MOST_LINE_BYTES } from '../codecs/readings-csv.ts'

/** Bytes of text in one commit: some eight thousand rows. */
const BLOCK_BYTES = 512 * 1024

/** A file cannot be read as what it is said to be; the message names it and the cure. */
export class ImportFileError extends Error {
  override readonly name = 'ImportFileError'
  readonly code = 'IMPORT_FILE'
}

/** SHA-256 of a file, in hex: by this it is known again, whatever its name. */
export async function hashOfFile(path: string): Promise<string> {
  const hash = createHash('sha256')
  for await (const piece of createReadStream(path, { highWaterMark: BLOCK_BYTES }))
    hash.update(piece as Buffer)
  return hash.digest('hex')
}

export interface TextSource {
  readonly blocks: AsyncGenerator<LineBlock>
  /** Bytes read of the file itself, packed as it is. */
  readonly bytesRead: () => number
}

/** The text of a file from `fromBytes` on, in blocks of whole lines; unpacked where its name ends in `.gz`. */
export function openText(
  path: string,
  fromBytes: number,
  maxLineBytes: number = MOST_LINE_BYTES,
): TextSource {
  const packed = path.endsWith('.gz')
  const file = createReadStream(path, { highWaterMark: BLOCK_BYTES, start: packed ? 0 : fromBytes })
  const pieces = packed ? withoutFirst(unpacked(file, path), fromBytes) : file
  return {
    blocks: lineBlocks(pieces as AsyncIterable<Buffer>, maxLineBytes),
    bytesRead: () => file.bytesRead + (packed ? 0 : fromBytes),
  }
}

async function* unpacked(file: ReadStream, path: string): AsyncGenerator<Buffer> {
  const gunzip = createGunzip({ chunkSize: BLOCK_BYTES })
  file.on('error', (error) => gunzip.destroy(error))
  try {
    for await (const piece of file.pipe(gunzip)) yield piece as Buffer
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException
    if (code?.startsWith('Z_') !== true) throw cause
    throw new ImportFileError(
      `${path} ends in the middle, or is no gzip file; copy it again. What came before that is in, and counts`,
      { cause },
    )
  } finally {
    file.destroy()
  }
}

async function* withoutFirst(pieces: AsyncIterable<Buffer>, bytes: number): AsyncGenerator<Buffer> {
  let left = bytes
  for await (const piece of pieces) {
    if (left < piece.length) yield left === 0 ? piece : piece.subarray(left)
    left = Math.max(0, left - piece.length)
  }
}
