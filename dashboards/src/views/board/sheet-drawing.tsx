import type { SheetGeometry } from '../../strip/strip-geometry.ts'

/** Behind a strip, as high as its row: closed hours, full hours, and the line of now that runs down the whole sheet. */
export function SheetBands({ sheet, widthPx }: { sheet: SheetGeometry; widthPx: number }) {
  return (
    <svg class="bands" viewBox={`0 0 ${widthPx} 1`} preserveAspectRatio="none" aria-hidden="true">
      {sheet.closed.map(({ x, width }) => (
        <rect class="closed" x={x} y="0" width={width} height="1" />
      ))}
      {sheet.ticks.map(({ x }) => (
        <path class="hour-line" d={`M${x} 0V1`} />
      ))}
      <path class="now-line" d={`M${sheet.nowX} 0V1`} />
    </svg>
  )
}

/** The hours over all strips, or under one on a phone. */
export function TimeAxis({
  sheet,
  widthPx,
  remPx,
  now,
}: {
  sheet: SheetGeometry
  widthPx: number
  remPx: number
  now: string
}) {
  const height = 1.5 * remPx
  return (
    <svg class="axis" width={widthPx} height={height} viewBox={`0 0 ${widthPx} ${height}`} aria-hidden="true">
      {sheet.ticks.map(({ x, label }) => (
        <text class="axis-hour" x={x} y={remPx}>
          {label}
        </text>
      ))}
      <text class="axis-now" x={sheet.nowX} y={remPx}>
        {`now ${now}`}
      </text>
    </svg>
  )
}
