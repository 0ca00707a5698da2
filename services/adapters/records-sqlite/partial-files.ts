import { readdirSync, rmSync, statSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'

/** Backups without a name of their own: `nightcap-2027-01-12T11-30-00Z.sqlite`. */
export const BACK_UP_NAME = /^nightcap-\d{4}-\d{2}-\d{2}T\d{2}-\d{2}-\d{2}Z\.sqlite$/
const PARTIAL = /^(.+)\.partial-(\d+)(?:-journal|-wal|-shm)?$/
/**
 * Process numbers say nothing between containers, or of another computer that uses the same folder: what was written to
 * so lately may be in the making. Starting value.
 */
const STILL_MADE_MS = 3_600_000

/** How a backup is called while it is made by this process. */
export function partialOf(file: string): string {
  return `${file}.partial-${process.pid}`
}

/**
 * Removes what backups left half made that were killed: of this name, or of one that we gave; the process that made it is
 * gone, and nothing was written to it for an hour. Other files are not touched.
 */
export function clearPartials(file: string, nowMs: number): void {
  const folder = dirname(file)
  for (const name of readdirSync(folder)) {
    const [, of = '', pid = ''] = PARTIAL.exec(name) ?? []
    if (of !== basename(file) && !BACK_UP_NAME.test(of)) continue
    const path = join(folder, name)
    const writtenMs = statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? nowMs
    if (nowMs - writtenMs >= STILL_MADE_MS && !isRunning(Number(pid))) rmSync(path, { force: true })
  }
}

/** This very process makes no other backup than the one that now begins. */
function isRunning(pid: number): boolean {
  if (pid === process.pid) return false
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}
