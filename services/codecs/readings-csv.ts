import { parse } from 'csv-parse/sync'
import type { Reading } from '../core/model/input.ts'
import {
  POSSIBLE_RANGE,
  quantitySchema,
  QUANTITIES,
  UNIT_OF_QUANTITY,
  type Quantity,
} from '../core/model/quantity.ts'
import { sensorIdSchema } from '../core/model/subject.ts'

/** Columns of a file of readings. In a file that is read they may stand in any order. */
export const READING_COLUMNS_CSV = ['sensor', 'quantity', 'unit', 'time', 'value'] as const
type Column = (typeof READING_COLUMNS_CSV)[number]
export const READINGS_HEADING = READING_COLUMNS_CSV.join(',')

/** Longest line that is read, in bytes. */
export const MOST_LINE_BYTES = 4_096
/** A reading may be stamped so far ahead of this computer's clock, as at the broker. */
const AHEAD_MS = 120_000
/** An earlier time is most likely one in seconds: 2001-09-09 is ten digits of them. */
const EARLIEST_MS = Date.UTC(2000, 0, 1)

/** What is wrong with a row, and the cure. */
export interface RowProblem {
  readonly field: Column | 'row'
  readonly problem: string
}

export type RowOutcome =
  { readonly ok: true; readonly reading: Reading } | { readonly ok: false; readonly problem: RowProblem }

/** Where each column stands in a row. */
export type ReadingColumns = Readonly<Record<Column, number>>

/** A reading as a line, without its line end. No cell of it ever needs quotes. */
export function toReadingLine({ sensorId, quantity, atMs, value }: Reading): string {
  return `${sensorId},${quantity},${UNIT_OF_QUANTITY[quantity]},${new Date(atMs).toISOString()},${value}`
}

/** Reads the first line, which names the columns; what is wrong with it otherwise, as a text with the cure. */
export function readHeading(line: string | null | undefined): ReadingColumns | string {
  if (line === undefined || line === '')
    return `line 1: the file is empty; its first line must be ${READINGS_HEADING}`
  if (line === null) return `line 1: is longer than ${MOST_LINE_BYTES} characters; is this a CSV file?`
  if (/[\0\uFFFD]/.test(line)) return 'line 1: this is no UTF-8 text; save the file as CSV in UTF-8'
  const names = (cellsOf(line.replace(/^\uFEFF/, '')) ?? []).map((name) => name.trim().toLowerCase())
  if (names.length === 1 && /[;\t]/.test(line))
    return 'line 1: columns are separated by semicolons or tabs; save the file with commas'
  const twice = names.find((name, i) => names.indexOf(name) !== i)
  if (twice !== undefined) return `line 1: the column ${twice} stands there twice; keep one of the two`
  const missing = READING_COLUMNS_CSV.find((name) => !names.includes(name))
  if (missing !== undefined)
    return `line 1: there is no column ${missing}; the first line must name ${READINGS_HEADING}`
  const stranger = names.find((name) => !(READING_COLUMNS_CSV as readonly string[]).includes(name))
  if (stranger !== undefined) return `line 1: there is no use for a column ${stranger}; take it out`
  const [sensor, quantity, unit, time, value] = READING_COLUMNS_CSV.map((name) => names.indexOf(name))
  return { sensor, quantity, unit, time, value } as ReadingColumns
}

interface KnownSeries {
  readonly sensorId: string
  readonly quantity: Quantity
  readonly range: readonly [number, number]
}

const MOST_KNOWN = 10_000

/** Reads rows one by one. `nowMs` is this computer's clock: what was measured later cannot be. */
export function createRowReader(columns: ReadingColumns, nowMs: number): (line: string | null) => RowOutcome {
  const known = new Map<string, KnownSeries | RowProblem>()
  const latestMs = nowMs + AHEAD_MS
  const seriesOf = (sensor: string, quantity: string, unit: string): KnownSeries | RowProblem => {
    const key = `${sensor},${quantity},${unit}`
    const found = known.get(key) ?? judgeSeries(sensor, quantity, unit)
    if (known.size >= MOST_KNOWN) known.clear()
    known.set(key, found)
    return found
  }
  return (line) => {
    if (line === null) return refuse('row', `is longer than ${MOST_LINE_BYTES} characters; leave it out`)
    const cells = cellsOf(line)
    if (cells === null)
      return refuse(
        'row',
        'its quotes do not close on this line; a cell holds no line break, and a quote in it is doubled',
      )
    if (cells.length !== READING_COLUMNS_CSV.length) return refuse('row', countWords(cells.length))
    const at = (column: Column): string => cells[columns[column]] ?? ''
    const series = seriesOf(at('sensor'), at('quantity'), at('unit'))
    if ('problem' in series) return { ok: false, problem: series }
    const atMs = timeOf(at('time'))
    if (typeof atMs === 'string') return refuse('time', atMs)
    if (atMs > latestMs)
      return refuse('time', 'lies in the future of this computer; set its clock, or leave the row out')
    const value = valueOf(at('value'))
    if (typeof value === 'string') return refuse('value', value)
    const [low, high] = series.range
    if (value < low || value > high)
      return refuse(
        'value',
        `${value} cannot be: ${series.quantity} is between ${low} and ${high} ${UNIT_OF_QUANTITY[series.quantity]}`,
      )
    return { ok: true, reading: { sensorId: series.sensorId, quantity: series.quantity, atMs, value } }
  }
}

function refuse(field: RowProblem['field'], problem: string): RowOutcome {
  return { ok: false, problem: { field, problem } }
}

function countWords(count: number): string {
  return count === READING_COLUMNS_CSV.length + 1
    ? 'has one cell too many; if that is a decimal comma, write a point: 45.2'
    : `has ${count} ${count === 1 ? 'cell' : 'cells'} where ${READING_COLUMNS_CSV.length} belong; see the first line`
}

/** The cells of a line; null where its quotes do not close. */
function cellsOf(line: string): readonly string[] | null {
  if (!line.includes('"')) return line.split(',')
  try {
    return (parse(line)[0] satisfies string[] | undefined) ?? []
  } catch {
    return null
  }
}

function judgeSeries(sensor: string, quantity: string, unit: string): KnownSeries | RowProblem {
  const sensorId = sensorIdSchema.safeParse(sensor)
  if (!sensorId.success)
    return { field: 'sensor', problem: sensorId.error.issues[0]?.message ?? 'is no sensor id' }
  const known = quantitySchema.safeParse(quantity)
  if (!known.success)
    return { field: 'quantity', problem: `there is no such quantity; write one of ${QUANTITIES.join(', ')}` }
  const wanted = UNIT_OF_QUANTITY[known.data]
  if (unit !== wanted)
    return {
      field: 'unit',
      problem: `${known.data} is written in ${wanted}; convert the value, and write ${wanted}`,
    }
  return { sensorId: sensorId.data, quantity: known.data, range: POSSIBLE_RANGE[known.data] }
}

const DIGITS = /^-?\d{1,16}$/
/** ISO 8601 with seconds and an offset, as RFC 3339 profiles it. */
const INSTANT = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)$/

/** Ms since 1970, or what is wrong. */
function timeOf(text: string): number | string {
  const atMs = DIGITS.test(text) ? Number(text) : INSTANT.test(text) && isDay(text) ? Date.parse(text) : NaN
  if (Number.isNaN(atMs))
    return 'write ISO 8601 with an offset, such as 2026-05-04T06:00:00Z or 2026-05-04T08:00:00+02:00, or ms since 1970'
  return atMs < EARLIEST_MS ? 'lies before 2000; if these are seconds, write milliseconds' : atMs
}

/** Is there this day in its month? `Date.parse` takes 30 February for 2 March. */
function isDay(text: string): boolean {
  const day = Number(text.slice(8, 10))
  return (
    day <= 28 || day <= new Date(Date.UTC(Number(text.slice(0, 4)), Number(text.slice(5, 7)), 0)).getUTCDate()
  )
}

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/

function valueOf(text: string): number | string {
  if (NUMBER.test(text)) return Number(text)
  if (/^[+-]?[\d.]*,\d+$/.test(text)) return 'has a decimal comma; write a point: 45.2'
  return text === '' ? 'is empty; leave the row out' : 'is no number; write one such as 45.2'
}
