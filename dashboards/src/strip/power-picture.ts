import type { PowerPicture } from '../api/setup-api.ts'

export const PICTURE_WIDTH = 600
export const PICTURE_HEIGHT = 205
/** The axis stands at this height; bands are drawn under it. */
export const AXIS_Y = 100

export interface PictureBar {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}
export interface PictureBand {
  readonly name: 'off' | 'standby' | 'cleaning' | 'printing'
  readonly x: number
  readonly width: number
}

/**
 * The columns as bars and the bands as stretches under them, on one logarithmic axis.
 *
 * POWER-PICTURE-1 a bar's height goes with the root of its minutes: a cleaning of minutes is seen beside days at rest.
 * POWER-PICTURE-2 no band leaves the drawing, and none has no width.
 */
export function picture({ columns, inForce }: Pick<PowerPicture, 'columns' | 'inForce'>): {
  bars: readonly PictureBar[]
  bands: readonly PictureBand[]
  ticks: readonly { readonly x: number; readonly w: number }[]
} {
  const first = columns[0]
  const last = columns.at(-1)
  if (!first || !last) return { bars: [], bands: [], ticks: [] }
  const span = Math.log(last.toW / first.fromW)
  const xOf = (w: number): number => {
    const share = Math.log(Math.max(w, first.fromW) / first.fromW) / span
    return Math.min(1, share) * PICTURE_WIDTH
  }
  const most = Math.sqrt(Math.max(...columns.map((c) => c.minutes)))
  const bars = columns.flatMap(({ fromW, toW, minutes }) => {
    const height = most === 0 ? 0 : (Math.sqrt(minutes) / most) * (AXIS_Y - 4)
    return minutes === 0 ? [] : [{ x: xOf(fromW), y: AXIS_Y - height, width: xOf(toW) - xOf(fromW), height }]
  })
  const band = (name: PictureBand['name'], range: readonly [number, number] | null): PictureBand[] => {
    if (!range) return []
    const [x, to] = [xOf(range[0]), xOf(range[1])]
    return to - x < 1 ? [] : [{ name, x, width: to - x }]
  }
  const { offBelowW, standbyTopW, cleaningW, printingW } = inForce
  return {
    bars,
    bands: [
      ...band('off', [first.fromW, offBelowW]),
      ...band('standby', standbyTopW === null ? null : [offBelowW, standbyTopW]),
      ...band('cleaning', cleaningW),
      ...band('printing', printingW),
    ],
    ticks: [1, 10, 100, 1000, 10_000]
      .filter((w) => w > first.fromW && w < last.toW)
      .map((w) => ({ x: xOf(w), w })),
  }
}
