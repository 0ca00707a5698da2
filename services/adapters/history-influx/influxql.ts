import type { HistoryWindow } from '../../core/model/ports/history.ts'

/**
 * Text as an InfluxQL string literal. Bound parameters would do the same, but 2.x takes them only in its own language;
 * a literal is understood by all of 1.x, 2.x and 3. What ends a literal, and the sign that escapes, are escaped.
 */
export function stringLiteral(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'").replaceAll('\n', '\\n')}'`
}

/** Text as an InfluxQL identifier: a measurement, tag or field. */
export function identifier(text: string): string {
  return `"${text.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n')}"`
}

/** Times the store can hold, in ms: it counts nanoseconds in 64 bits. */
const EARLIEST_MS = -9_223_372_036_854
const LATEST_MS = 9_223_372_036_854

/** An instant as a literal; one that the store cannot hold is brought to the nearest that it can. */
function timeLiteral(atMs: number): string {
  return `'${new Date(Math.min(Math.max(atMs, EARLIEST_MS), LATEST_MS)).toISOString()}'`
}

/** `SELECT what FROM ...` of one site's series in a window. */
export function selectFrom(
  what: string,
  { sensorId, quantity, fromMs, toMs }: HistoryWindow,
  siteId: string,
): string {
  return (
    `SELECT ${what} FROM ${identifier(quantity)} WHERE "site" = ${stringLiteral(siteId)}` +
    ` AND "sensor" = ${stringLiteral(sensorId)} AND time >= ${timeLiteral(fromMs)} AND time < ${timeLiteral(toMs)}`
  )
}
