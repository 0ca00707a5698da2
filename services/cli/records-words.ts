import type { RecordsCounts } from '../adapters/records-sqlite/copy-records.ts'
import { readConfig } from '../monitor/read-config.ts'
import type { MonitorConfig } from '../monitor/config.ts'
import { UsageError } from './usage-error.ts'

const TENTHS = 10

/** The configuration, or a problem a line. @throws {UsageError} */
export function configOrRefuse(): MonitorConfig {
  const outcome = readConfig()
  if (!outcome.ok) throw new UsageError(outcome.problems.join('\n'))
  return outcome.config
}

/** Says how far it is, at most ten times. */
export function progressLines(say: (line: string) => void): (share: number) => void {
  let told = 0
  return (share) => {
    const tenths = Math.floor(share * TENTHS)
    if (tenths <= told) return
    told = tenths
    say(`  ${tenths * (100 / TENTHS)} %`)
  }
}

/** What a book of record holds, in a line. */
export function contentText({ rows, lastAliveMs }: RecordsCounts): string {
  const count = (table: string): string => (rows[table] ?? 0).toLocaleString('en')
  const when = lastAliveMs === null ? '' : `, as of ${new Date(lastAliveMs).toISOString().slice(0, 19)}Z`
  return `${count('reading')} readings, ${count('alarm')} alarms, ${count('task')} tasks, ${count('person')} people${when}`
}
