import type { Database } from 'better-sqlite3'
import { stretchesOf, stretchOfQuarter, type MachineStretch } from '../../core/model/machine-stretch.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'
import type { MachineQuarter } from '../../core/model/quarter.ts'

/** Widths that are kept ready beside the quarters, each of whole quarters: a year of quarters takes too long to read. */
const KEPT_WIDTHS_MS = [3_600_000, 6 * 3_600_000] as const
const QUARTERS =
  'SELECT json FROM machine_quarter WHERE machine_id = ? AND end_ms > ? AND end_ms <= ? ORDER BY end_ms'

export interface MachineQuarterTable {
  /** The same quarter again takes the place of what was noted before. `seq`: the input that it followed from. */
  readonly put: (quarter: MachineQuarter, seq: number) => void
}

export function createMachineQuarterTable(db: Database): MachineQuarterTable {
  const upsert = db.prepare<[string, number, string, number]>(
    `INSERT INTO machine_quarter (machine_id, end_ms, json, noted_seq) VALUES (?, ?, ?, ?)
     ON CONFLICT (machine_id, end_ms) DO UPDATE SET json = excluded.json, noted_seq = excluded.noted_seq`,
  )
  const keep = db.prepare<[number, string, number, string]>(
    `INSERT INTO machine_stretch (width_ms, machine_id, start_ms, json) VALUES (?, ?, ?, ?)
     ON CONFLICT (width_ms, machine_id, start_ms) DO UPDATE SET json = excluded.json`,
  )
  const between = db.prepare<[string, number, number], { json: string }>(QUARTERS)
  return {
    put: (quarter, seq) => {
      const { machineId, endMs } = quarter
      upsert.run(machineId, endMs, JSON.stringify(quarter), seq)
      for (const widthMs of KEPT_WIDTHS_MS) {
        const startMs = Math.floor((endMs - 1) / widthMs) * widthMs
        const rows = between.all(machineId, startMs, startMs + widthMs)
        const [stretch] = stretchesOf(rows.map(quarterOf).map(stretchOfQuarter), widthMs)
        if (stretch) keep.run(widthMs, machineId, startMs, JSON.stringify(stretch))
      }
    },
  }
}

export function createMachineQuarterQuery(
  db: Database,
): Pick<RecordsReader, 'machineQuarters' | 'machineStretches'> {
  const between = db.prepare<[string, number, number], { json: string }>(QUARTERS)
  const kept = db.prepare<[number, string, number, number], { json: string }>(
    'SELECT json FROM machine_stretch WHERE width_ms = ? AND machine_id = ? AND start_ms >= ? AND start_ms < ? ORDER BY start_ms',
  )
  const quarters: RecordsReader['machineQuarters'] = ({ machineId, fromMs, toMs }) =>
    between.all(machineId, fromMs, toMs).map(quarterOf)
  return {
    machineQuarters: quarters,
    machineStretches: ({ machineId, fromMs, toMs, widthMs }) => {
      const startMs = Math.floor(fromMs / widthMs) * widthMs
      const endMs = Math.ceil(toMs / widthMs) * widthMs
      const keptMs = KEPT_WIDTHS_MS.findLast((width) => widthMs % width === 0)
      const parts =
        keptMs === undefined
          ? quarters({ machineId, fromMs: startMs, toMs: endMs }).map(stretchOfQuarter)
          : kept.all(keptMs, machineId, startMs, endMs).map(({ json }) => JSON.parse(json) as MachineStretch)
      return stretchesOf(parts, widthMs)
    },
  }
}

function quarterOf({ json }: { json: string }): MachineQuarter {
  return JSON.parse(json) as MachineQuarter
}
