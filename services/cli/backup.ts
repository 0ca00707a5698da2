import { join, resolve } from 'node:path'
import { backUpName, backUpRecords, dropOldBackUps } from '../adapters/records-sqlite/back-up.ts'
import { configOrRefuse, contentText, progressLines } from './records-words.ts'
import { numberOption, readOptionsAndNames, UsageError } from './usage-error.ts'

/** `nightcap backup [FILE] [--keep N]`: a checked copy of the book of record, whether the monitor runs or not. */
export async function backup(args: readonly string[]): Promise<number> {
  const { values, names } = readOptionsAndNames(args, { keep: { type: 'string' } }, 1)
  const [named] = names
  if (named !== undefined && values.keep !== undefined)
    throw new UsageError('--keep goes with backups that are given no name: leave the name out, or --keep')
  const keep =
    values.keep === undefined ? null : Math.floor(numberOption('keep', values.keep, { min: 1, max: 10_000 }))
  const { dataDir, backupDir, keyFile } = configOrRefuse()
  const file = resolve(named ?? join(backupDir, backUpName(Date.now())))
  console.log(`Copying the book of record of ${resolve(dataDir)} ...`)
  const report = await backUpRecords({ dataDir, file, onProgress: progressLines(console.log) })
  console.log(
    `${file} (${Math.ceil(report.bytes / 1_000_000)} MB) holds ${contentText(report)}. It was checked.`,
  )
  console.log(
    `The key ${resolve(keyFile)} is not in it: where there is one, keep a copy of that in another place.`,
  )
  if (keep !== null) {
    const gone = dropOldBackUps(backupDir, keep)
    if (gone.length > 0) console.log(`Removed, since the newest ${keep} are kept: ${gone.join(', ')}`)
  }
  return 0
}
