import type { HistoryBand, HistoryGrid, HistoryView, MachineHistory } from '../core/model/history-view.ts'
import { toCsv, type CsvColumn } from './csv.ts'
import { shopTime } from './shop-time.ts'

/** A stretch of readings: its place, and the place of the stretch of quarters that begins in it, or null. */
interface Row {
  readonly at: number
  readonly startMs: number
  readonly endMs: number
  readonly quarter: number | null
}
type Column = CsvColumn<Row>

const WHICH = [
  ['min', 'low'],
  ['mean', 'mean'],
  ['max', 'high'],
  ['last', 'last'],
] as const

/**
 * What a chart shows, as CSV: a line for each stretch of readings, empty where nothing was measured.
 *
 * CSV-1 every value of the view stands in it once; what is noted by quarters, in the first line of its stretch.
 * CSV-2 headings name the thing by its id, the quantity, its unit and which value of the stretch it is.
 * CSV-3 times stand in UTC and in the shop's zone with its offset, so that both 02:30s of a clock change are told apart.
 */
export function historyCsv(view: HistoryView, timeZone: string): string {
  const columns: Column[] = [
    { heading: 'start_utc', cell: (r) => new Date(r.startMs).toISOString() },
    { heading: 'end_utc', cell: (r) => new Date(r.endMs).toISOString() },
    { heading: 'start_shop', cell: (r) => shopTime(r.startMs, timeZone) },
    ...view.rooms.flatMap(({ id, humidityPct, temperatureC, vpdKpa, dewPointC }) => [
      ...bandColumns(`room_${id}_humidity_pct`, humidityPct, ofReadings),
      ...bandColumns(`room_${id}_temperature_degc`, temperatureC, ofReadings),
      ...bandColumns(`room_${id}_vpd_kpa`, vpdKpa, ofReadings),
      ...bandColumns(`room_${id}_dew_point_degc`, dewPointC, ofReadings),
    ]),
    ...view.bottles.flatMap(({ id, fillPct }) => bandColumns(`bottle_${id}_fill_pct`, fillPct, ofReadings)),
    ...view.machines.flatMap((machine) => machineColumns(machine, view)),
    ...saidColumns('other', (machineIds) => machineIds.length === 0, view),
  ]
  return toCsv(columns, rowsOf(view))
}

function rowsOf({ readings, quarters }: HistoryView): Row[] {
  let before = -1
  return readings.startsMs.map((startMs, at) => {
    const quarter = Math.max(0, placeIn(quarters, startMs))
    const isFirst = quarter !== before
    before = quarter
    return { at, startMs, endMs: startMs + readings.widthMs, quarter: isFirst ? quarter : null }
  })
}

function placeIn({ startsMs, widthMs }: HistoryGrid, atMs: number): number {
  return Math.floor((atMs - (startsMs[0] ?? 0)) / widthMs)
}

const ofReadings = (row: Row): number => row.at
const ofQuarters = (row: Row): number | null => row.quarter

function bandColumns(name: string, band: HistoryBand, place: (row: Row) => number | null): Column[] {
  return WHICH.map(([word, which]) => column(`${name}_${word}`, band[which], place))
}

function column(
  name: string,
  values: readonly (number | null)[],
  place: (row: Row) => number | null,
): Column {
  const cell = (row: Row): number | null => {
    const at = place(row)
    return at === null ? null : (values[at] ?? null)
  }
  return { heading: name.replaceAll('-', '_'), cell }
}

function machineColumns(machine: MachineHistory, view: HistoryView): Column[] {
  const name = `machine_${machine.id}`
  const shares = Object.entries(machine.shares)
  return [
    ...machine.inks.flatMap(({ channelGroupId, doseKpaH }) =>
      bandColumns(`${name}_${channelGroupId}_dose_kpa_h`, doseKpaH, ofQuarters),
    ),
    ...shares.map(([doing, values]) => column(`${name}_${doing}_share`, values, ofQuarters)),
    column(`${name}_cleanings`, machine.cleanings, ofQuarters),
    column(`${name}_uncapped_s`, machine.uncappedS, ofQuarters),
    {
      heading: `${name}_missing_nozzles`.replaceAll('-', '_'),
      cell: (row) => mostMissing(machine.id, view, row),
    },
    ...saidColumns(name, (machineIds) => machineIds.includes(machine.id), view),
  ]
}

/** What the worst nozzle check of the stretch found; empty where none was made. */
function mostMissing(machineId: string, { checks }: HistoryView, row: Row): number | null {
  const within = checks.filter(
    (c) => c.machineId === machineId && c.atMs >= row.startMs && c.atMs < row.endMs,
  )
  return within.length === 0 ? null : Math.max(...within.map((c) => c.missingNozzles))
}

/** What was wrong, what was written down, and which work ended; of nothing but a room or a bottle under `other`. */
function saidColumns(
  name: string,
  isOf: (machineIds: readonly string[]) => boolean,
  view: HistoryView,
): Column[] {
  const troubles = view.troubles.filter((t) => isOf(t.machineIds))
  const tasks = view.tasks.filter((t) => isOf(t.machineIds))
  const entries = view.entries.filter((e) => isOf(e.machineIds))
  const column = (what: string, words: (row: Row) => readonly string[]): Column => ({
    heading: `${name}_${what}`.replaceAll('-', '_'),
    cell: (row) => words(row).join('; ') || null,
  })
  return [
    column('troubles', (row) => troubles.filter((t) => touches(t, row)).map((t) => t.title)),
    column('entries', (row) =>
      entries.filter((e) => e.atMs >= row.startMs && e.atMs < row.endMs).map((e) => e.title),
    ),
    column('tasks_ended', (row) =>
      tasks.filter((t) => t.endedMs >= row.startMs && t.endedMs < row.endMs).map((t) => t.title),
    ),
  ]
}

function touches({ fromMs, toMs }: { fromMs: number; toMs: number | null }, row: Row): boolean {
  return fromMs < row.endMs && (toMs === null || toMs > row.startMs)
}
