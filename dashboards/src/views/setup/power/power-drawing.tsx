import type { PowerPicture } from '../../../api/setup-api.ts'
import {
  AXIS_Y,
  PICTURE_HEIGHT,
  PICTURE_WIDTH,
  picture,
  type PictureBand,
} from '../../../strip/power-picture.ts'

const BAND_TOP = AXIS_Y + 4
const BAND_HEIGHT = 16
const WORD_Y = AXIS_Y + 44
/** Words of neighbours stand on two rows, so that a narrow band has room for its own. */
const WORD_ROW = 27

/** Minutes by power drawn, and under the axis the bands: each has its own shape and its word. */
export function PowerDrawing({ seen, title }: { seen: PowerPicture; title: string }) {
  const { bars, bands, ticks } = picture(seen)
  if (bars.length === 0) return <p class="hint">The meter was not heard in the last seven days.</p>
  return (
    <figure class="power-picture">
      <svg
        viewBox={`0 0 ${PICTURE_WIDTH} ${PICTURE_HEIGHT}`}
        role="img"
        aria-label={`How long ${title} drew how much power in the last seven days; the bands are listed below.`}
      >
        {bars.map(({ x, y, width, height }) => (
          <rect key={x} class="picture-bar" x={x} y={y} width={Math.max(1, width - 1)} height={height} />
        ))}
        <line class="picture-axis" x1={0} x2={PICTURE_WIDTH} y1={AXIS_Y} y2={AXIS_Y} />
        {bands.map((band) => (
          <Band key={band.name} {...band} />
        ))}
        {ticks.map(({ x, w }) => (
          <text key={w} class="picture-tick" x={x} y={PICTURE_HEIGHT - 2} text-anchor="middle">
            {`${w} W`}
          </text>
        ))}
      </svg>
      <figcaption class="hint">
        Minutes by power drawn, the last seven days. The scale is logarithmic.
      </figcaption>
    </figure>
  )
}

/** Half of what a letter takes, about, where letters are largest, on a phone: a word at the edge moves in, so that none of it is cut off. */
const HALF_LETTER = 7.5

function wordX(word: string, x: number): number {
  const half = word.length * HALF_LETTER
  return Math.min(Math.max(x, half), PICTURE_WIDTH - half)
}

function Band({ name, x, width }: PictureBand) {
  const height = name === 'off' ? 3 : name === 'standby' ? 7 : BAND_HEIGHT
  return (
    <>
      <rect class={`picture-band picture-band-${name}`} x={x} y={BAND_TOP} width={width} height={height} />
      <text
        class="picture-word"
        x={wordX(name, x + width / 2)}
        y={WORD_Y + (name === 'off' || name === 'cleaning' ? 0 : WORD_ROW)}
        text-anchor="middle"
      >
        {name}
      </text>
    </>
  )
}
