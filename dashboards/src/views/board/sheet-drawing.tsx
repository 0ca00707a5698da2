import type { SheetGeometry, StripRoom } from '../../strip/sheet-geometry.ts'

/** Behind a strip, as high as it is: closed hours, full hours, and beside names the line of now. */
export function SheetBands({ sheet, room }: { sheet: SheetGeometry; room: StripRoom }) {
  const { widthPx, names } = room
  return (
    <svg class="bands" viewBox={`0 0 ${widthPx} 1`} preserveAspectRatio="none" aria-hidden="true">
      {sheet.closed.map(({ x, width }) => (
        <rect class="closed" x={x} y="0" width={width} height="1" />
      ))}
      {sheet.ticks.map(({ x }) => (
        <path class="hour-line" d={`M${x} 0V1`} />
      ))}
      {names === 'beside' && <path class="now-line" d={`M${sheet.plot.nowX} 0V1`} />}
      {sheet.end && <path class="hour-line" d={`M${sheet.end.x} 0V1`} />}
    </svg>
  )
}

/** The hours over all strips, or under one on a phone. */
export function TimeAxis({
  sheet,
  widthPx,
  remPx,
}: {
  sheet: SheetGeometry
  widthPx: number
  remPx: number
}) {
  const height = 1.5 * remPx
  // Centred on its line, but never cut off at the edge of the drawing.
  const half = (sheet.now.label.length / 4 + 0.1) * remPx
  const nowX = Math.min(Math.max(sheet.now.x, half), widthPx - half)
  return (
    <svg class="axis" width={widthPx} height={height} viewBox={`0 0 ${widthPx} ${height}`} aria-hidden="true">
      {sheet.ticks.map(({ x, label }) => (
        <text class="axis-hour" x={x} y={remPx}>
          {label}
        </text>
      ))}
      <text class="axis-now" x={nowX} y={remPx}>
        {sheet.now.label}
      </text>
      {sheet.end && (
        <text class="axis-end" x={sheet.end.x} y={remPx}>
          {sheet.end.label}
        </text>
      )}
    </svg>
  )
}
