import { resolve } from 'node:path'
import { restoreRecords } from '../adapters/records-sqlite/restore.ts'
import { configOrRefuse, contentText, progressLines } from './records-words.ts'
import { readOptionsAndNames, UsageError } from './usage-error.ts'

/** `nightcap restore FILE`: puts a backup in the place of the book of record; the monitor must be stopped. */
export async function restore(args: readonly string[]): Promise<number> {
  const { names } = readOptionsAndNames(args, {}, 1)
  const [file] = names
  if (file === undefined) throw new UsageError('name the backup: nightcap restore FILE')
  const { dataDir } = configOrRefuse()
  console.log(`Checking ${resolve(file)} ...`)
  const report = await restoreRecords({
    dataDir,
    file: resolve(file),
    nowMs: Date.now(),
    onProgress: progressLines(console.log),
  })
  console.log(`${resolve(dataDir)} now holds ${contentText(report)}.`)
  console.log(
    report.aside === null ? 'Nothing was there before.' : `What was there before is at ${report.aside}.`,
  )
  console.log(
    'Start the monitor: it says that it was dark since then. Everybody signs in again. What was said, measured or changed after the backup is not in it; look through nodes and programs whose secrets were revoked since.',
  )
  return 0
}
