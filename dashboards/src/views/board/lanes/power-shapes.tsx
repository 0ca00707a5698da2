import type { CleaningMark as Mark, KnownState } from '../../../strip/power-lane.ts'

/** How high a state's bar stands, of the lane's height: what works harder stands higher. */
const HEIGHTS: Readonly<Record<KnownState, number>> = {
  printing: 1,
  cleaning: 0.8,
  on: 0.55,
  standby: 0.3,
  off: 1,
}

/** One state's bar: printing full, cleaning striped, on half, waiting low, off an empty frame. */
export function PowerBar({
  state,
  x,
  y,
  width,
  height,
  stripeId,
}: {
  state: KnownState
  x: number
  y: number
  width: number
  height: number
  stripeId: string
}) {
  const high = height * HEIGHTS[state]
  const hasFrame = state === 'off' || state === 'cleaning'
  // Half of the frame's line, which is drawn on its edge.
  const inset = hasFrame ? height * 0.06 : 0
  return (
    <rect
      class={`power-${state}`}
      x={x + inset}
      y={y + height - high + inset}
      width={Math.max(1.5, width - 2 * inset)}
      height={high - 2 * inset}
      fill={state === 'cleaning' ? `url(#stripe-${stripeId})` : undefined}
    />
  )
}

/** A cleaning: seen is a full wedge, logged an open one, assumed only its two sides. */
export function CleaningMark({
  basis,
  x,
  y,
  size,
}: {
  basis: Mark['basis']
  x: number
  y: number
  size: number
}) {
  const half = size / 2
  const d = `M${x - half} ${y}L${x} ${y + size}L${x + half} ${y}`
  return <path class={`cleaning cleaning-${basis}`} d={basis === 'assumed' ? d : `${d}Z`} />
}

/** The patterns that lanes are filled with. An id serves one drawing, so each strip brings its own. */
export function Patterns({ id, scale = 1 }: { id: string; scale?: number }) {
  const shared = { patternUnits: 'userSpaceOnUse', patternTransform: `scale(${scale})` } as const
  return (
    <defs>
      <pattern id={`hatch-${id}`} width="6" height="6" {...shared}>
        <path class="hatch" d="M-1 7 7-1M-1 1 1-1M5 7 7 5" />
      </pattern>
      <pattern id={`stripe-${id}`} width="4" height="4" {...shared}>
        <path class="stripe" d="M1 0V4" />
      </pattern>
    </defs>
  )
}
