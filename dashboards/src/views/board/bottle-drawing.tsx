/** Heights within the drawing: the inner floor and the shoulder line that counts as 100 %. */
const FLOOR_Y = 94
const FULL_Y = 30

const OUTLINE = 'M23 4h14v9c0 6 14 8 14 18v60a5 5 0 0 1-5 5H14a5 5 0 0 1-5-5V31c0-10 14-12 14-18z'
const INSIDE = 'M12 31c0-8 14-10 14-18V7h8v6c0 8 14 10 14 18v59a3 3 0 0 1-3 3H15a3 3 0 0 1-3-3z'

/** A bottle as it stands under the machine, filled as high as the scale says, with its two marks: near dashed, full a notch. */
export function BottleDrawing({
  id,
  fillPct,
  nearPct,
  fullPct,
  isLifted,
  mark,
}: {
  id: string
  fillPct: number | null
  nearPct: number
  fullPct: number
  isLifted: boolean
  mark: 'calm' | 'past'
}) {
  const level = levelY(fillPct ?? 0)
  const near = levelY(nearPct)
  const full = levelY(fullPct)
  const isDashed = fillPct === null || isLifted
  return (
    <svg class={`bottle bottle-${mark}`} viewBox="0 0 60 100" aria-hidden="true" focusable="false">
      <clipPath id={`inside-${id}`}>
        <path d={INSIDE} />
      </clipPath>
      {fillPct === null ? (
        <text class="bottle-unknown" x="30" y="70">
          ?
        </text>
      ) : (
        <rect
          class="bottle-ink"
          x="0"
          y={level}
          width="60"
          height={100 - level}
          clip-path={`url(#inside-${id})`}
        />
      )}
      <path class={isDashed ? 'bottle-glass bottle-dashed' : 'bottle-glass'} d={OUTLINE} />
      <path class="bottle-near" d={`M2 ${near}h56`} />
      <path class="bottle-full-mark" d={`M2 ${full}h7M51 ${full}h7`} />
    </svg>
  )
}

function levelY(valuePct: number): number {
  return FLOOR_Y - (Math.min(Math.max(valuePct, 0), 104) / 100) * (FLOOR_Y - FULL_Y)
}
