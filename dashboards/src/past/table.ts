import type { HistoryBand, HistoryView, MachineHistory } from '../../../services/core/model/history-view.ts'
import type { MachineDoing } from '../../../services/core/model/quarter.ts'
import { POWER_WORDS } from '../words/power-words.ts'
import { placeIn } from './read-out.ts'

export interface TableColumn {
  readonly heading: string
  /** What stands in the line of a stretch; empty where nothing was measured. */
  readonly cell: (row: TableRow) => string
}

/** A stretch of readings, and the place of the stretch of quarters that begins in it, or null. */
export interface TableRow {
  readonly at: number
  readonly startMs: number
  readonly endMs: number
  readonly quarter: number | null
}

/** TABLE-1 the table holds what the picture shows: a line for each stretch, the same numbers as the CSV. */
export function tableOf(view: HistoryView): {
  readonly columns: readonly TableColumn[]
  readonly rows: readonly TableRow[]
} {
  const columns: TableColumn[] = [
    ...view.rooms.flatMap((room) => [
      ...bandColumns(`${room.title}, humidity, %RH`, room.humidityPct, ofReadings),
      ...bandColumns(`${room.title}, temperature, °C`, room.temperatureC, ofReadings),
      ...bandColumns(`${room.title}, vapour pressure deficit, kPa`, room.vpdKpa, ofReadings),
      ...bandColumns(`${room.title}, dew point, °C`, room.dewPointC, ofReadings),
    ]),
    ...view.bottles.flatMap((bottle) => bandColumns(`${bottle.title}, full, %`, bottle.fillPct, ofReadings)),
    ...view.machines.flatMap((machine) => [
      ...machine.inks.flatMap((ink) =>
        bandColumns(`${machine.title}, ${ink.title}, drying dose, kPa h`, ink.doseKpaH, ofQuarters),
      ),
      ...doingsOf(machine).map(([doing, shares]) =>
        column(`${machine.title}, ${POWER_WORDS[doing]}, share of the time`, shares, ofQuarters),
      ),
      column(`${machine.title}, cleanings`, machine.cleanings, ofQuarters),
      column(`${machine.title}, off its cap, s`, machine.uncappedS, ofQuarters),
      {
        heading: `${machine.title}, missing nozzles`,
        cell: (row: TableRow) => mostMissing(machine.id, view, row),
      },
      ...saidColumns(machine.title, (ids) => ids.includes(machine.id), view),
    ]),
    ...saidColumns('Rooms and bottles', (ids) => ids.length === 0, view),
  ]
  return { columns, rows: rowsOf(view) }
}

/** In the order in which they come, which is that of the CSV too. */
function doingsOf({ shares }: MachineHistory): [MachineDoing, readonly (number | null)[]][] {
  return Object.entries(shares) as [MachineDoing, (number | null)[]][]
}

function rowsOf({ readings, quarters }: HistoryView): TableRow[] {
  let before = -1
  return readings.startsMs.map((startMs, at) => {
    const quarter = Math.max(0, placeIn(quarters, startMs))
    const isFirst = quarter !== before
    before = quarter
    return { at, startMs, endMs: startMs + readings.widthMs, quarter: isFirst ? quarter : null }
  })
}

const ofReadings = (row: TableRow): number => row.at
const ofQuarters = (row: TableRow): number | null => row.quarter

function bandColumns(
  name: string,
  band: HistoryBand,
  place: (row: TableRow) => number | null,
): TableColumn[] {
  return [
    column(`${name}, lowest`, band.low, place),
    column(`${name}, mean`, band.mean, place),
    column(`${name}, highest`, band.high, place),
    column(`${name}, last`, band.last, place),
  ]
}

function column(
  heading: string,
  values: readonly (number | null)[],
  place: (row: TableRow) => number | null,
): TableColumn {
  const cell = (row: TableRow): string => {
    const at = place(row)
    const value = at === null ? null : values[at]
    return value == null ? '' : String(value)
  }
  return { heading, cell }
}

/** What the worst nozzle check of the stretch found; empty where none was made. */
function mostMissing(machineId: string, { checks }: HistoryView, row: TableRow): string {
  const within = checks.filter(
    (c) => c.machineId === machineId && c.atMs >= row.startMs && c.atMs < row.endMs,
  )
  return within.length === 0 ? '' : String(Math.max(...within.map((c) => c.missingNozzles)))
}

function saidColumns(
  name: string,
  isOf: (machineIds: readonly string[]) => boolean,
  view: HistoryView,
): TableColumn[] {
  const troubles = view.troubles.filter((t) => isOf(t.machineIds))
  const tasks = view.tasks.filter((t) => isOf(t.machineIds))
  const entries = view.entries.filter((e) => isOf(e.machineIds))
  const said = (heading: string, words: (row: TableRow) => readonly string[]): TableColumn => ({
    heading: `${name}, ${heading}`,
    cell: (row) => words(row).join('; '),
  })
  return [
    said('alarms', (row) =>
      troubles
        .filter((t) => t.fromMs < row.endMs && (t.toMs === null || t.toMs > row.startMs))
        .map((t) => t.title),
    ),
    said('entries', (row) =>
      entries.filter((e) => e.atMs >= row.startMs && e.atMs < row.endMs).map((e) => e.title),
    ),
    said('tasks that ended', (row) =>
      tasks.filter((t) => t.endedMs >= row.startMs && t.endedMs < row.endMs).map((t) => t.title),
    ),
  ]
}
