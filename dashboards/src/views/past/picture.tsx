import { effect } from '@preact/signals'
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import type uPlot from 'uplot'
import type { HistoryView } from '../../../../services/core/model/history-view.ts'
import type { AppModel } from '../../models/app-model.ts'
import { extremesWords } from '../../past/extremes.ts'
import { onKey } from '../../past/keys.ts'
import { readOut } from '../../past/read-out.ts'
import { windowWords } from '../../past/time-words.ts'
import type { Track } from '../../past/tracks.ts'
import { xAt, type PlotSpan } from '../../past/window.ts'
import { holdOnTo } from './gestures.ts'
import { drawLanes, LANES_HEIGHT_REM } from './lanes-drawing.ts'
import { LineSample } from './line-sample.tsx'
import { paintOf } from './paint.ts'
import { makeAxisPlot, makeTrackPlot, type Sheet } from './track-plot.ts'

const GUTTER_REM = 3.6
const RIGHT_REM = 0.6

export interface Shown {
  readonly app: AppModel
  readonly view: HistoryView
  readonly tracks: readonly Track[]
  readonly timeZone: string
}

/** All tracks and lanes over each other on one time axis, moved by wheel, fingers and keys. */
export function Picture(shown: Shown) {
  const { app, view, tracks, timeZone } = shown
  const { past } = app
  const root = useRef<HTMLDivElement>(null)
  const [widthPx, setWidthPx] = useState(0)
  useEffect(() => {
    if (!root.current) return
    const seen = new ResizeObserver(([entry]) => setWidthPx(Math.floor(entry?.contentRect.width ?? 0)))
    seen.observe(root.current)
    return () => seen.disconnect()
  }, [])
  const theme = app.theme.shown.value
  const sheet = useMemo((): Sheet | null => {
    if (widthPx === 0) return null
    const remPx = parseFloat(getComputedStyle(document.documentElement).fontSize)
    return {
      paint: paintOf(document.documentElement),
      timeZone,
      remPx,
      widthPx,
      gutterPx: Math.round(GUTTER_REM * remPx),
      rightPx: Math.round(RIGHT_REM * remPx),
      closed: view.closed,
    }
  }, [widthPx, theme, timeZone, view])
  const plot: PlotSpan = sheet
    ? { left: sheet.gutterPx, width: sheet.widthPx - sheet.gutterPx - sheet.rightPx }
    : { left: 0, width: 1 }
  const plotNow = useRef(plot)
  plotNow.current = plot
  useEffect(() => {
    if (!root.current) return
    return holdOnTo(root.current, {
      window: () => past.window.peek(),
      plot: () => plotNow.current,
      reach: () => ({ nowMs: past.nowMs() }),
      move: past.move,
      point: past.point,
    })
  }, [past])
  const { fromMs, toMs } = past.window.value
  const atMs = past.cursorMs.value
  const words = atMs === null ? null : readOut(atMs, { view, tracks, timeZone })
  return (
    <div
      ref={root}
      class="past-picture"
      role="slider"
      tabIndex={0}
      aria-label="The past on one time axis"
      aria-describedby="past-keys"
      aria-valuemin={fromMs}
      aria-valuemax={toMs}
      aria-valuenow={Math.round(atMs ?? toMs)}
      aria-valuetext={words ?? windowWords({ fromMs, toMs }, timeZone)}
      onKeyDown={(event) => {
        if (onKey(event, { past, grid: view.readings })) event.preventDefault()
      }}
    >
      {sheet && <Axis app={app} sheet={sheet} />}
      {sheet && tracks.map((track) => <TrackRow key={track.key} {...shown} track={track} sheet={sheet} />)}
      {sheet &&
        view.machines.map((machine) => (
          <LanesRow key={machine.id} {...shown} machineId={machine.id} title={machine.title} sheet={sheet} />
        ))}
      {sheet && hasOthers(view) && (
        <LanesRow {...shown} machineId={null} title="Rooms and bottles" sheet={sheet} />
      )}
      {sheet && atMs !== null && atMs >= fromMs && atMs <= toMs && (
        <div class="past-cursor" style={{ left: `${xAt(atMs, { fromMs, toMs }, plot)}px` }} />
      )}
    </div>
  )
}

function hasOthers({ troubles, tasks, entries }: HistoryView): boolean {
  return [...troubles, ...tasks, ...entries].some((mark) => mark.machineIds.length === 0)
}

/** A chart that follows the window without being made anew. */
function usePlot(app: AppModel, make: (at: HTMLElement) => uPlot, when: readonly unknown[]) {
  const at = useRef<HTMLDivElement>(null)
  useEffect(() => {
    if (!at.current) return
    const plot = make(at.current)
    const stop = effect(() => {
      const { fromMs, toMs } = app.past.window.value
      plot.setScale('x', { min: fromMs, max: toMs })
    })
    return () => {
      stop()
      plot.destroy()
    }
  }, [...when])
  return at
}

function Axis({ app, sheet }: { app: AppModel; sheet: Sheet }) {
  const at = usePlot(app, (on) => makeAxisPlot(app.past.window.peek(), sheet, on), [sheet])
  return <div class="past-axis" ref={at} />
}

function TrackRow({ app, track, sheet, timeZone }: Shown & { track: Track; sheet: Sheet }) {
  const at = usePlot(app, (on) => makeTrackPlot(track, app.past.window.peek(), sheet, on), [track, sheet])
  return (
    <div class="past-track">
      <p class="past-title">
        <span class="past-name">{`${track.title}, ${track.unit}`}</span>
        {track.lines.map((line, i) => (
          <span key={line.label} class="past-line">
            {track.lines.length > 1 && <LineSample index={i} />}
            {extremesWords(line, track, timeZone)}
          </span>
        ))}
      </p>
      <div ref={at} />
    </div>
  )
}

function LanesRow({
  app,
  view,
  machineId,
  title,
  sheet,
}: Shown & { machineId: string | null; title: string; sheet: Sheet }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const machine = view.machines.find((m) => m.id === machineId) ?? null
  useEffect(
    () =>
      effect(() => {
        const window = app.past.window.value
        if (canvas.current) drawLanes(canvas.current, { view, machine, window }, sheet)
      }),
    [view, machine, sheet],
  )
  return (
    <div class="past-track">
      <p class="past-title">
        <span class="past-name">{title}</span>
      </p>
      <canvas ref={canvas} class="past-lanes" height={LANES_HEIGHT_REM * sheet.remPx} />
    </div>
  )
}
