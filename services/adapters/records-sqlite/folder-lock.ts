import { closeSync, openSync, readFileSync, rmSync, writeSync } from 'node:fs'
import { RecordsError } from './records-error.ts'

/**
 * Keeps a second monitor off a data folder. The lock names the process that holds it; one whose process is gone
 * (a power cut, kill -9) is taken over.
 *
 * @throws {RecordsError} RECORDS_IN_USE
 */
export function lockFolder(path: string): { release: () => void } {
  for (let attempt = 0; ; attempt++) {
    try {
      const file = openSync(path, 'wx', 0o600)
      writeSync(file, `${process.pid} ${startOf(process.pid) ?? ''}`)
      closeSync(file)
      return { release: () => rmSync(path, { force: true }) }
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST' || attempt > 3) throw error
      const holder = aliveHolder(path)
      if (holder !== null) {
        throw new RecordsError(
          'RECORDS_IN_USE',
          `another monitor (process ${holder}) uses this data folder: stop it first, or name another NIGHTCAP_DATA_DIR`,
        )
      }
      rmSync(path, { force: true })
    }
  }
}

function aliveHolder(path: string): number | null {
  const [pid, start] = readOr(path, '').split(' ')
  const holder = Number(pid)
  if (!Number.isInteger(holder) || holder <= 0 || holder === process.pid)
    return holder === process.pid ? holder : null
  try {
    process.kill(holder, 0)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EPERM') return null
  }
  // After a restart of the computer the number may belong to another process.
  const now = startOf(holder)
  return start && now !== null && now !== start ? null : holder
}

/** When a process started, in clock ticks since boot, where the system tells (Linux). */
function startOf(pid: number): string | null {
  const stat = readOr(`/proc/${pid}/stat`, '')
  return stat === '' ? null : (stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? null)
}

function readOr(path: string, fallback: string): string {
  try {
    return readFileSync(path, 'utf8')
  } catch {
    return fallback
  }
}
