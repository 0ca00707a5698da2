import { closeSync, fdatasyncSync, fsyncSync, ftruncateSync, openSync, readSync, writeSync } from 'node:fs'
import { dirname } from 'node:path'

/** A file that only grows, each append on disk before it returns. */
export interface SegmentFile {
  readonly path: string
  readonly bytes: () => number
  /** Where the line begins. After an error the file is as it was, or `isSound` says no. */
  readonly append: (line: Buffer) => number
  readonly isSound: () => boolean
  readonly close: () => void
}

/** Makes the file, which must not exist: where it does, another node uses the same folder. */
export function createSegmentFile(path: string): SegmentFile {
  const file = openSync(path, 'wx', 0o600)
  syncFolder(dirname(path))
  let bytes = 0
  let sound = true
  return {
    path,
    bytes: () => bytes,
    append: (line) => {
      const at = bytes
      try {
        writeAll(file, line)
        fdatasyncSync(file)
      } catch (error) {
        sound = cutBack(file, at)
        throw error
      }
      bytes += line.length
      return at
    },
    isSound: () => sound,
    close: () => closeSync(file),
  }
}

/** Part of a file. Shorter than asked where the file ends before. */
export function readPart(path: string, { at, bytes }: { at: number; bytes: number }): Buffer {
  const file = openSync(path, 'r')
  try {
    const part = Buffer.alloc(bytes)
    return part.subarray(0, readSync(file, part, 0, bytes, at))
  } finally {
    closeSync(file)
  }
}

/** A new name is safe only when its folder is on disk too. */
export function syncFolder(folder: string): void {
  const handle = openSync(folder, 'r')
  try {
    fsyncSync(handle)
  } finally {
    closeSync(handle)
  }
}

function writeAll(file: number, line: Buffer): void {
  for (let done = 0; done < line.length;) done += writeSync(file, line, done)
}

/** A full disk leaves half a line, to which the next would be glued. */
function cutBack(file: number, bytes: number): boolean {
  try {
    ftruncateSync(file, bytes)
    return true
  } catch {
    return false
  }
}
