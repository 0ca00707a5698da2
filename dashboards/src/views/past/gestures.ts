import {
  msAt,
  panned,
  pinched,
  zoomed,
  type PastWindow,
  type PlotSpan,
  type Reach,
} from '../../past/window.ts'

/** What gestures move. */
export interface Grip {
  readonly window: () => PastWindow
  readonly plot: () => PlotSpan
  readonly reach: () => Reach
  readonly move: (window: PastWindow) => void
  /** The pointer stands at a moment, or left. */
  readonly point: (atMs: number | null) => void
}

interface Finger {
  readonly x: number
  readonly y: number
}

/** A turn of the wheel by one line of text. */
const LINE_PX = 16
const ZOOM_PER_PX = 1 / 500
const TAP_MS = 350
const TAP_PX = 12
/** A double tap goes out to four times as much. */
const OUT = 1 / 4

/** Wheel, drag, pinch and double tap on an element; gives what takes them off again. */
export function holdOnTo(element: HTMLElement, grip: Grip): () => void {
  const given = [wheel(element, grip), ...fingers(element, grip)]
  for (const [type, listener] of given) element.addEventListener(type, listener, { passive: false })
  return () => {
    for (const [type, listener] of given) element.removeEventListener(type, listener)
  }
}

type Listening = readonly [string, (event: Event) => void]

function xIn(element: HTMLElement, { clientX }: MouseEvent): number {
  return clientX - element.getBoundingClientRect().left
}

function isOverPlot(x: number, { left, width }: PlotSpan): boolean {
  return x >= left && x <= left + width
}

/** Over the plot the wheel zooms around the pointer, and sideways it pans; over the names left of it the page scrolls. */
function wheel(element: HTMLElement, grip: Grip): Listening {
  return [
    'wheel',
    (event) => {
      if (!(event instanceof WheelEvent)) return
      const [x, plot, window] = [xIn(element, event), grip.plot(), grip.window()]
      if (!isOverPlot(x, plot)) return
      event.preventDefault()
      const unit = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? LINE_PX : 1
      const msPerPx = (window.toMs - window.fromMs) / plot.width
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY))
        return grip.move(panned(window, event.deltaX * unit * msPerPx, grip.reach()))
      // A pinch on a trackpad comes as a wheel with the control key, in small steps.
      const factor = Math.exp(-event.deltaY * unit * ZOOM_PER_PX * (event.ctrlKey ? 5 : 1))
      grip.move(zoomed(window, { factor, aroundMs: msAt(x, window, plot) }, grip.reach()))
    },
  ]
}

function fingers(element: HTMLElement, grip: Grip): Listening[] {
  const down = new Map<number, Finger>()
  let held: { readonly window: PastWindow; readonly from: Map<number, Finger> } | null = null
  let lastTap: { readonly atMs: number; readonly x: number } | null = null
  let moved = false

  const take = (): void => {
    held = { window: grip.window(), from: new Map(down) }
  }
  const follow = (): void => {
    if (!held) return
    const { window, from } = held
    const [plot, reach] = [grip.plot(), grip.reach()]
    const [a, b] = [...down]
    if (!a) return
    const [aFrom, bFrom] = [from.get(a[0]), b && from.get(b[0])]
    if (b && aFrom && bFrom) {
      const anchor = (at: Finger, now: Finger) => ({ atMs: msAt(at.x, window, plot), x: now.x })
      return grip.move(pinched([anchor(aFrom, a[1]), anchor(bFrom, b[1])], plot, reach))
    }
    if (!aFrom) return
    const msPerPx = (window.toMs - window.fromMs) / plot.width
    grip.move(panned(window, (aFrom.x - a[1].x) * msPerPx, reach))
  }
  const tapped = (x: number, timeMs: number): void => {
    const isDouble = lastTap && timeMs - lastTap.atMs < TAP_MS && Math.abs(lastTap.x - x) < 2 * TAP_PX
    lastTap = isDouble ? null : { atMs: timeMs, x }
    if (!isDouble) return
    const window = grip.window()
    const aroundMs = msAt(x, window, grip.plot())
    grip.move(zoomed(window, { factor: OUT, aroundMs }, grip.reach()))
  }
  const onPointer =
    (then: (event: PointerEvent, finger: Finger) => void) =>
    (event: Event): void => {
      if (!(event instanceof PointerEvent)) return
      then(event, { x: xIn(element, event), y: event.clientY })
    }
  const over = onPointer((event, finger) => {
    const plot = grip.plot()
    if (isOverPlot(finger.x, plot)) grip.point(msAt(finger.x, grip.window(), plot))
    if (!down.has(event.pointerId)) return
    const before = held?.from.get(event.pointerId)
    down.set(event.pointerId, finger)
    if (!moved && before && Math.abs(finger.x - before.x) < TAP_PX / 2 && down.size === 1) return
    if (!moved) element.setPointerCapture(event.pointerId)
    moved = true
    follow()
  })
  const lift = onPointer((event, finger) => {
    if (!down.delete(event.pointerId)) return
    if (!moved && event.type === 'pointerup') tapped(finger.x, event.timeStamp)
    take()
    if (down.size === 0) moved = false
  })
  return [
    [
      'pointerdown',
      onPointer((event, finger) => {
        if (event.button !== 0 || !isOverPlot(finger.x, grip.plot())) return
        down.set(event.pointerId, finger)
        if (down.size > 1) moved = true
        take()
      }),
    ],
    ['pointermove', over],
    ['pointerup', lift],
    ['pointercancel', lift],
    [
      'pointerleave',
      onPointer((event) => {
        if (event.pointerType === 'mouse' && down.size === 0) grip.point(null)
      }),
    ],
  ]
}
