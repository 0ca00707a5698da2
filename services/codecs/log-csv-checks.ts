import type { SaidEntry } from '../core/model/log-entry.ts'
import type { BadRow, CsvRow } from './csv-reading.ts'
import type { FoundEntry } from './log-csv-rows.ts'
import { inTurns } from './turns.ts'

/** A line of a file, and what it says; null where it cannot be taken. */
export interface ReadRow {
  readonly row: CsvRow
  readonly part: FoundEntry | null
}

type CheckPart = FoundEntry & { readonly entry: Extract<SaidEntry, { kind: 'nozzleCheck' }> }

interface SoundRow {
  readonly line: number
  readonly written: string
  readonly part: CheckPart
}

/** Follows IMPORT-2. A line that cannot be read tells its check by how it is written. */
export async function joinChecks(rows: readonly ReadRow[], bad: BadRow[]): Promise<readonly FoundEntry[]> {
  const spoilt = new Set<string>()
  const sound: SoundRow[] = []
  for await (const { row, part } of inTurns(rows)) {
    const written = asWritten(row)
    if (part === null) spoilt.add(written)
    else if (part.entry.kind === 'nozzleCheck')
      sound.push({ line: row.line, written, part: { ...part, entry: part.entry } })
  }
  const spoiltKeys = new Set<string>()
  for await (const { written, part } of inTurns(sound)) if (spoilt.has(written)) spoiltKeys.add(keyOf(part))
  const checks = new Map<string, CheckPart[]>()
  for await (const { line, written, part } of inTurns(sound)) {
    const key = keyOf(part)
    const own = checks.get(key)
    if (spoilt.has(written) || spoiltKeys.has(key)) {
      const reason = 'is of a check of which another line cannot be taken: mend that line'
      bad.push({ line, field: 'line', reason })
    } else if (own) own.push(part)
    else checks.set(key, [part])
  }
  const found: FoundEntry[] = []
  for await (const own of inTurns(checks.values())) {
    const check = joined(own, bad)
    if (check) found.push(check)
  }
  return found
}

function asWritten(row: CsvRow): string {
  const id = row.cell('id')
  return id === '' ? [row.cell('machine'), row.cell('checked_at'), row.cell('checked_at_utc')].join('|') : id
}

function keyOf({ id, entry: { machineId, checkedMs } }: CheckPart): string {
  return id ?? `${machineId}|${checkedMs}`
}

function joined(own: readonly CheckPart[], bad: BadRow[]): FoundEntry | null {
  const [first, ...rest] = own
  if (!first) return null
  const { entry } = first
  const refused = refusalOf(first, rest)
  if (refused) {
    bad.push(refused)
    const reason = `is of a check of which line ${refused.line} cannot be taken: mend that line`
    for (const line of own.flatMap((p) => p.lines))
      if (line !== refused.line) bad.push({ line, field: 'line', reason })
    return null
  }
  const missing = own.flatMap((p) => p.entry.missing).filter((m) => m.missingNozzles > 0)
  const note = own.map((p) => p.entry.note).find((n) => n !== '') ?? ''
  return { lines: own.flatMap((p) => p.lines), id: first.id, entry: { ...entry, missing, note } }
}

/** What of one check cannot be, and on which line that shows. */
function refusalOf(first: CheckPart, rest: readonly CheckPart[]): BadRow | null {
  const said = [first, ...rest].flatMap((p) =>
    p.entry.missing.map((m) => [m.channelGroupId, p.lines[0] ?? 0] as const),
  )
  const twice = said.find(([id], at) => said.findIndex(([other]) => other === id) !== at)
  if (twice)
    return {
      line: twice[1],
      field: 'channel_group',
      reason: `${twice[0]} stands twice in this check: keep one line`,
    }
  const differs = (field: string, of: (p: CheckPart) => unknown) => {
    const other = rest.find((p) => of(p) !== of(first))
    const reason = `is not that of line ${first.lines[0] ?? 0}, which is of the same check: make them one`
    return other ? { line: other.lines[0] ?? 0, field, reason } : null
  }
  return (
    differs('reason', (p) => p.entry.reason) ??
    differs('machine', (p) => p.entry.machineId) ??
    differs('checked_at', (p) => p.entry.checkedMs)
  )
}
