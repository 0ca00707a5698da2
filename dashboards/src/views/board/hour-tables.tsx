import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import { hourRows, hoursAhead, type HourAhead } from '../../strip/hour-rows.ts'
import { driestInks } from '../../strip/ink-lane.ts'
import { POWER_WORDS } from '../../words/power-words.ts'

interface TableProps {
  readonly board: BoardView
  readonly machine: MachineView
}

const NO_READINGS = 'no readings'

/** The strip's numbers for those who read with their ears: the past, hour by hour. */
export function HourTable({ board, machine }: TableProps) {
  return (
    <table class="only-read">
      <caption>{`${machine.title}, hour by hour`}</caption>
      <thead>
        <tr>
          <th scope="col">Time</th>
          <th scope="col">Humidity in %RH</th>
          <InkHeads machine={machine} />
          <th scope="col">Power</th>
          {machine.bottle && <th scope="col">Bottle in %</th>}
        </tr>
      </thead>
      <tbody>
        {hourRows(machine, board).map((row) => (
          <tr key={row.time}>
            <th scope="row">{row.time}</th>
            <td>{numberText(row.humidityPct)}</td>
            {row.inksPct.map((pct) => (
              <td>{numberText(pct)}</td>
            ))}
            <td>{row.power === 'unknown' ? NO_READINGS : POWER_WORDS[row.power]}</td>
            {machine.bottle && <td>{numberText(row.fillPct)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  )
}

/** The same for the hours ahead: what is expected, and between what. */
export function NightTable({ board, machine }: TableProps) {
  const rows = hoursAhead(machine, board)
  if (rows.length === 0) return null
  return (
    <table class="only-read">
      <caption>{`${machine.title}, the hours ahead as expected`}</caption>
      <thead>
        <tr>
          <th scope="col">Time</th>
          <th scope="col">Humidity in %RH</th>
          <InkHeads machine={machine} />
          {machine.bottle && <th scope="col">Bottle in %</th>}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.time}>
            <th scope="row">{row.time}</th>
            <td>{rangeText(row.humidityPct)}</td>
            {row.inksPct.map((range) => (
              <td>{rangeText(range)}</td>
            ))}
            {machine.bottle && <td>{rangeText(row.fillPct)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function InkHeads({ machine }: Pick<TableProps, 'machine'>) {
  return (
    <>
      {driestInks(machine.inks).map(({ ink }) => (
        <th scope="col">{`${ink === 'white' ? 'White' : 'Colour'} ink in % of its limit`}</th>
      ))}
    </>
  )
}

function numberText(value: number | null): string {
  return value === null ? NO_READINGS : String(Math.round(value))
}

function rangeText(range: HourAhead['humidityPct']): string {
  if (!range) return 'not known'
  const [low, middle, high] = range.map(Math.round)
  return low === high ? String(middle) : `${middle}, from ${low} to ${high}`
}
