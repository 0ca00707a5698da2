import type { Episode } from '../../model/episode.ts'
import type { HistoryGrid } from '../../model/history-view.ts'
import type { HeadChange, JudgedCare, LogNote, NozzleCheck } from '../../model/log-entry.ts'
import type { MachineStretch } from '../../model/machine-stretch.ts'
import type { EndedTask, SeriesPoint } from '../../model/ports/records.ts'
import type { Quantity } from '../../model/quantity.ts'
import type { Bottle, Machine, Room, Settings } from '../../model/settings.ts'

/** What people wrote down within the window. */
export interface LoggedPast {
  readonly checks: readonly NozzleCheck[]
  readonly cares: readonly JudgedCare[]
  readonly headChanges: readonly HeadChange[]
  readonly notes: readonly LogNote[]
}

/** What the past is drawn from. */
export interface HistoryMaterial {
  readonly fromMs: number
  readonly toMs: number
  readonly nowMs: number
  readonly settings: Settings
  readonly rooms: readonly Room[]
  readonly bottles: readonly Bottle[]
  readonly machines: readonly Machine[]
  readonly readings: HistoryGrid
  readonly quarters: HistoryGrid
  /** Stretches of a sensor on the grid of readings. */
  readonly series: (sensorId: string, quantity: Quantity) => readonly SeriesPoint[]
  /** Stretches of a machine on the grid of quarters. */
  readonly stretchesOf: (machineId: string) => readonly MachineStretch[]
  readonly episodes: readonly Episode[]
  readonly tasks: readonly EndedTask[]
  readonly logged: LoggedPast
  /** What to know of where the readings come from, in words. */
  readonly sourceNotes: readonly string[]
  /** When the first input came in, or null. */
  readonly beginsMs: number | null
}
