import { useEffect, useMemo, useRef } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import { readOut } from '../../past/read-out.ts'
import { widthWords, windowWords } from '../../past/time-words.ts'
import { tracksOf } from '../../past/tracks.ts'
import { Trouble, Waiting } from '../states.tsx'
import { Chooser } from './chooser.tsx'
import { Controls } from './controls.tsx'
import { MarksLegend } from './marks-legend.tsx'
import { PastTable } from './past-table.tsx'
import { Picture, type Shown } from './picture.tsx'

/** At most so many stretches are asked for: a canvas has no more columns that an eye could tell apart. */
const MOST_POINTS = 1500
const LEAST_POINTS = 100

/** The past of the shop, from years to minutes; the address holds what is shown. */
export default function PastView({ app, query }: { app: AppModel; query: string }) {
  const { past } = app
  const page = useRef<HTMLDivElement>(null)
  const site = app.board.board.value?.site
  const hasClock = site !== undefined
  // The last day is one of the shop's clock, which comes with the board.
  useEffect(() => {
    if (hasClock) past.open(query)
  }, [query, hasClock])
  useEffect(() => {
    if (!page.current) return
    const seen = new ResizeObserver(([entry]) => past.fit(pointsFor(entry?.contentRect.width ?? 0)))
    seen.observe(page.current)
    return () => seen.disconnect()
  }, [past])
  // What came to rest is a place to come back to.
  const settled = past.settled.value
  useEffect(() => {
    // Who goes back twice at once is at the second place, and not called back to the first.
    if (past.settled.peek() !== settled) return
    const hash = hashOf({ page: 'history', query: settled })
    if (settled !== '' && settled !== query) location.hash = hash
  }, [settled])
  const view = past.view.value
  const tracks = useMemo(
    () => (view && site ? tracksOf(view, site.temperatureUnit) : []),
    [view, site?.temperatureUnit],
  )
  return (
    <div class="past" ref={page}>
      <h1 class="statement" id="past-title" tabIndex={-1}>
        {view && site ? windowWords(past.window.value, site.timeZone) : 'History'}
      </h1>
      {past.trouble.value && <Trouble text={past.trouble.value} retry={past.again} />}
      {view && site ? (
        <Past app={app} view={view} tracks={tracks} timeZone={site.timeZone} />
      ) : (
        past.trouble.value === '' && <Waiting />
      )}
    </div>
  )
}

function pointsFor(widthPx: number): number {
  return Math.min(MOST_POINTS, Math.max(LEAST_POINTS, Math.round(widthPx / 100) * 100))
}

function Past(shown: Shown) {
  const { app, view, tracks } = shown
  const { past } = app
  return (
    <>
      <p class="hint">
        {`Each stretch is ${widthWords(view.readings.widthMs)}: the line is its mean, the band goes from its lowest to its highest. Where nothing was measured there is a gap. Power and drying dose are noted every quarter of an hour. Limits are those of today.`}
      </p>
      {view.sourceNotes.map((note) => (
        <p key={note} class="hint">
          {note}
        </p>
      ))}
      <Controls app={app} />
      <Chooser app={app} view={view} />
      {tracks.length === 0 && <p class="evidence">Nothing was measured in this time.</p>}
      <ReadOut {...shown} />
      <p class="hint past-keys" id="past-keys">
        Wheel or two fingers: nearer and out. Drag: earlier and later. Double tap: out. Keys: left and right
        read, plus and minus zoom, Page Up and Page Down move, Home goes to now.
      </p>
      <Picture {...shown} />
      <MarksLegend />
      <p class="buttons past-out">
        <button
          type="button"
          class="plain strong"
          aria-expanded={past.isTable.value}
          aria-controls="past-table"
          onClick={() => past.showTable(!past.isTable.value)}
        >
          {past.isTable.value ? 'Hide the table' : 'Show as table'}
        </button>
        {past.csvPath.value !== null && (
          <a class="past-csv" href={past.csvPath.value} download="history.csv">
            What is shown, as CSV
          </a>
        )}
      </p>
      <p class="hint">The address of this page holds what is shown. Copy it to show somebody the same.</p>
      <div id="past-table">{past.isTable.value && <PastTable {...shown} />}</div>
    </>
  )
}

/** The moment under the pointer or the keys, in words. */
function ReadOut({ app, view, tracks, timeZone }: Shown) {
  const atMs = app.past.cursorMs.value
  return (
    <p class="past-read-out">
      {atMs === null
        ? 'Point at a moment, or press left and right on the picture, to read what was so then.'
        : readOut(atMs, { view, tracks, timeZone })}
    </p>
  )
}
