import { readFileSync, renameSync, writeFileSync } from 'node:fs'
import { z } from 'zod'

const cursorSchema = z.strictObject({
  doneThrough: z.int().nonnegative(),
  droppedPacks: z.int().nonnegative(),
})

/** How far the box has been emptied, and how much was thrown away so far. */
export type Cursor = z.infer<typeof cursorSchema>

/** The cursor on disk; from the start when there is none or it is spoilt, for then packs are sent twice, not lost. */
export function readCursor(path: string): Cursor {
  try {
    const parsed = cursorSchema.safeParse(JSON.parse(readFileSync(path, 'utf8')))
    if (parsed.success) return parsed.data
  } catch {
    // No cursor yet, or half of one.
  }
  return { doneThrough: 0, droppedPacks: 0 }
}

/** Gives false where the disk refuses it: the next one will do as well. */
export function writeCursor(path: string, cursor: Cursor): boolean {
  try {
    writeFileSync(`${path}.new`, JSON.stringify(cursor), { mode: 0o600 })
    renameSync(`${path}.new`, path)
    return true
  } catch {
    return false
  }
}
