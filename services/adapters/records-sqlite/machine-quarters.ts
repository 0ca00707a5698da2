import type { Database } from 'better-sqlite3'
import type { RecordsReader } from '../../core/model/ports/records.ts'
import type { MachineQuarter } from '../../core/model/quarter.ts'

export interface MachineQuarterTable {
  /** The same quarter again takes the place of what was noted before. `seq`: the input that it followed from. */
  readonly put: (quarter: MachineQuarter, seq: number) => void
}

export function createMachineQuarterTable(db: Database): MachineQuarterTable {
  const upsert = db.prepare<[string, number, string, number]>(
    `INSERT INTO machine_quarter (machine_id, end_ms, json, noted_seq) VALUES (?, ?, ?, ?)
     ON CONFLICT (machine_id, end_ms) DO UPDATE SET json = excluded.json, noted_seq = excluded.noted_seq`,
  )
  return { put: (q, seq) => void upsert.run(q.machineId, q.endMs, JSON.stringify(q), seq) }
}

export function createMachineQuarterQuery(db: Database): Pick<RecordsReader, 'machineQuarters'> {
  const between = db.prepare<[string, number, number], { json: string }>(
    'SELECT json FROM machine_quarter WHERE machine_id = ? AND end_ms > ? AND end_ms <= ? ORDER BY end_ms',
  )
  return {
    machineQuarters: ({ machineId, fromMs, toMs }) =>
      between.all(machineId, fromMs, toMs).map(({ json }) => JSON.parse(json) as MachineQuarter),
  }
}
