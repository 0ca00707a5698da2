import { useMemo, useState } from 'preact/hooks'
import { tableOf } from '../../past/table.ts'
import { dayAndTime } from '../../past/time-words.ts'
import type { Shown } from './picture.tsx'

/** A year has hundreds of stretches: so many lines at first, and so many more at a time. */
const LINES = 100

/** What the picture shows, in numbers, for everyone. */
export function PastTable({ view, timeZone }: Shown) {
  const { columns, rows } = useMemo(() => tableOf(view), [view])
  const [lines, setLines] = useState(LINES)
  const seconds = view.readings.widthMs < 60_000
  const time = (atMs: number): string =>
    dayAndTime(atMs, timeZone) +
    (seconds ? `:${String(Math.floor((atMs % 60_000) / 1000)).padStart(2, '0')}` : '')
  return (
    <>
      <div class="past-table" role="region" aria-labelledby="past-caption" tabIndex={0}>
        <table>
          <caption id="past-caption">
            {`${rows.length} stretches; the same numbers as in the CSV. Empty: nothing was measured. Temperatures in °C.`}
          </caption>
          <thead>
            <tr>
              <th scope="col">From</th>
              {columns.map(({ heading }) => (
                <th key={heading} scope="col">
                  {heading}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.slice(0, lines).map((row) => (
              <tr key={row.startMs}>
                <th scope="row">{time(row.startMs)}</th>
                {columns.map((column) => (
                  <td key={column.heading}>{column.cell(row)}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {lines < rows.length && (
        <button type="button" class="plain strong" onClick={() => setLines(lines + LINES)}>
          {`Show the next ${Math.min(LINES, rows.length - lines)} of ${rows.length - lines}`}
        </button>
      )}
    </>
  )
}
