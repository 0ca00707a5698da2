import { PassThrough } from 'node:stream'
import type { LogFiles } from '../core/model/ports/log-files.ts'
import type { Settings } from '../core/model/settings.ts'
import type { LogCsvJob } from './log-csv-work.ts'
import { startWorkThread } from './work-thread.ts'

/** Files of the logbook over the monitor's own data folder, each written in a thread of its own (FILE-1, FILE-2). */
export function openLogFiles({ dataDir, settings }: { dataDir: string; settings: () => Settings }): LogFiles {
  let before: Promise<void> = Promise.resolve()
  return {
    csv: (kind, window) => {
      const file = new PassThrough({ encoding: 'utf8' })
      const job: LogCsvJob = { kind, window, settings: settings() }
      before = before.then(() => writeAside(file, { dataDir, job }))
      return file
    },
  }
}

/** Never rejects: what went wrong is told to whoever reads the file. */
async function writeAside(
  file: PassThrough,
  { dataDir, job }: { dataDir: string; job: LogCsvJob },
): Promise<void> {
  if (file.destroyed) return
  const thread = startWorkThread<string>(
    { kind: 'logCsv', dataDir, job },
    { hear: (piece) => void file.write(piece) },
  )
  const stop = (): void => void thread.stop()
  file.once('close', stop)
  try {
    await thread.done
    file.end()
  } catch (error) {
    file.destroy(error instanceof Error ? error : new Error(String(error)))
  }
}
