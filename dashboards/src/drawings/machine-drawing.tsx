import type { JSX } from 'preact'
import type { Picture } from '../../../services/core/model/closing.ts'
import { DRAWING_WORDS } from './drawing-words.ts'

/** A drawing of our own, of a machine that is nobody's: one line weight, in the colour of the text around it. */
export function MachineDrawing({ picture }: { picture: Picture }) {
  const Shapes = SHAPES[picture]
  return (
    <svg class="drawing" viewBox="0 0 320 150" role="img" aria-label={DRAWING_WORDS[picture]}>
      <Shapes />
    </svg>
  )
}

const SHAPES: Readonly<Record<Picture, () => JSX.Element>> = {
  swabWiper: () => (
    <>
      <Carriage x={30} />
      <path d="M205 120v-42h14v42M190 120h44" />
      <Swab toX={206} toY={84} />
      <Label x={190} y={140} text="wiper blade" />
    </>
  ),
  swabCap: () => (
    <>
      <Carriage x={30} />
      <path d="M180 118h90v-20h-10v10h-70v-10h-10z" />
      <Swab toX={184} toY={96} />
      <Label x={180} y={138} text="edge of the cap" />
    </>
  ),
  swabHead: () => (
    <>
      <Carriage x={110} />
      <Swab toX={204} toY={74} />
      <Label x={200} y={112} text="around the head" />
    </>
  ),
  home: () => (
    <>
      <path d="M10 40h300" />
      <path d="M200 26h90v56h-90zM210 82h70v10h-70zM200 108h90v-14h-10v8h-70v-8h-10z" />
      <path d="M40 62h110M134 52l18 10-18 10" />
      <Label x={40} y={92} text="home" />
      <Label x={200} y={130} text="head on its cap" />
    </>
  ),
  encoder: () => (
    <>
      <path d="M10 44h300M10 54h300" />
      <path d={ticks()} />
      <path d="M120 64h80v50h-80z" />
      <Swab toX={250} toY={50} />
      <Label x={14} y={34} text="encoder strip: a lint-free wipe, gently" />
    </>
  ),
  pinchRoller: () => (
    <>
      <path d="M10 92h300" />
      <circle cx="110" cy="72" r="20" />
      <circle cx="210" cy="72" r="20" />
      <circle cx="160" cy="116" r="22" />
      <Label x={90} y={40} text="pinch rollers" />
      <Label x={14} y={108} text="film" />
    </>
  ),
  rail: () => (
    <>
      <path d="M10 52h300v12h-300zM10 92h300v12h-300z" />
      <path d="M110 40h90v76h-90z" />
      <Label x={14} y={40} text="rail" />
      <Label x={118} y={84} text="carriage" />
    </>
  ),
  tube: () => (
    <>
      <path d="M130 140h80v-68c0-12-24-14-24-26v-10h-32v10c0 12-24 14-24 26z" />
      <path d="M60 14h86c14 0 20 4 20 16v44M60 24h84c8 0 10 2 10 8v42" />
      <path d="M130 108h80" />
      <Label x={60} y={44} text="tube" />
      <Label x={200} y={44} text="in the neck" />
      <Label x={216} y={112} text="waste ink" />
    </>
  ),
}

/** A carriage with its head from the side; the nozzle face below it is crossed out, and told in words. */
function Carriage({ x }: { x: number }) {
  return (
    <>
      <path d="M10 20h300" />
      <path d={`M${x} 10h90v46h-90zM${x + 10} 56h70v16h-70z`} />
      <path d={`M${x + 14} 76l8 8m0-8l-8 8M${x + 41} 76l8 8m0-8l-8 8M${x + 68} 76l8 8m0-8l-8 8`} />
      <Label x={x - 20} y={102} text="nozzle face:" />
      <Label x={x - 20} y={118} text="never touch" />
    </>
  )
}

/** A swab on a long stick, its tip at the place that is wiped. */
function Swab({ toX, toY }: { toX: number; toY: number }) {
  return (
    <>
      <path d={`M${toX + 8} ${toY - 6}L${toX + 72} ${toY - 50}`} />
      <ellipse cx={toX} cy={toY} rx="10" ry="6" transform={`rotate(-35 ${toX} ${toY})`} />
    </>
  )
}

function Label({ x, y, text }: { x: number; y: number; text: string }) {
  return (
    <text x={x} y={y}>
      {text}
    </text>
  )
}

function ticks(): string {
  return Array.from({ length: 37 }, (_, i) => `M${16 + i * 8} 44v10`).join('')
}
