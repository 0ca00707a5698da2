import type { Lane } from '../../strip/lane-layout.ts'
import { AirLane } from './lanes/air-lane.tsx'
import { BottleLane } from './lanes/bottle-lane.tsx'
import { InkLane } from './lanes/ink-lane.tsx'
import type { Drawn } from './lanes/lane-parts.tsx'
import { PowerLane } from './lanes/power-lane.tsx'
import { Patterns } from './lanes/power-shapes.tsx'

/** The strip itself: humidity, drying, power and bottle over one time axis. Read out as `summary`. */
export function StripDrawing({ summary, ...drawn }: Drawn & { summary: string }) {
  const { widthPx, heightPx, humidity, inks, power, bottle } = drawn.geometry
  const lanes = [humidity, ...(inks ? [inks] : []), power, ...(bottle ? [bottle] : [])]
  return (
    <svg
      class="strip"
      role="img"
      aria-label={summary}
      width={widthPx}
      height={heightPx}
      viewBox={`0 0 ${widthPx} ${heightPx}`}
    >
      <Patterns id={drawn.machine.id} scale={drawn.remPx / 16} />
      {drawn.names === 'above' && <NowLine lanes={lanes} x={drawn.geometry.plot.nowX} />}
      <AirLane {...drawn} />
      <InkLane {...drawn} />
      <PowerLane {...drawn} />
      <BottleLane {...drawn} />
    </svg>
  )
}

/** Where names stand above their lanes, the line of now is drawn lane by lane, so that it crosses no word. */
function NowLine({ lanes, x }: { lanes: readonly Lane[]; x: number }) {
  return <path class="now-line" d={lanes.map(({ top, height }) => `M${x} ${top}v${height}`).join('')} />
}
