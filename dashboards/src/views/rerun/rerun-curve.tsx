import * as Plot from '@observablehq/plot'
import { useEffect, useRef } from 'preact/hooks'
import type { RerunView } from '../../../../services/core/model/rerun.ts'
import { costOf, costWords, valueText, warnedCount } from '../../words/rerun-words.ts'

interface CurvePoint {
  readonly value: number
  readonly words: string
  readonly cost: number
  readonly warned: number
  readonly role: 'today' | 'tried' | 'other'
}

/** What each value of the limit brings, against what it costs; the same as a table. */
export function RerunCurve({ rerun }: { rerun: RerunView }) {
  const host = useRef<HTMLDivElement>(null)
  const points = pointsOf(rerun)
  const { choice, values, state } = rerun
  const drawn = JSON.stringify(points)
  useEffect(() => {
    const el = host.current
    if (!el || points.length < 2) return
    const draw = (): void => el.replaceChildren(drawingOf(points, rerun, el.clientWidth))
    draw()
    const observer = new ResizeObserver(draw)
    observer.observe(el)
    return () => observer.disconnect()
  }, [drawn])
  if (points.length < 2) return null
  return (
    <figure class="rerun-curve">
      <figcaption>
        {`Clogs warned of against ${costWords(choice).toLowerCase()}.`}
        {choice.wakes
          ? ''
          : ' No value of this limit calls anybody by itself: it shows on the board and in the morning.'}
        {state === 'running' ? ` ${points.length} of ${values.length} values are worked out.` : ''}
      </figcaption>
      <div ref={host} class="rerun-plot" aria-hidden="true" />
      <details class="rerun-more">
        <summary>The curve as a table</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">Value</th>
              <th scope="col">{`Clogs warned of, of ${rerun.outcomes[0]?.clogs.length ?? 0}`}</th>
              <th scope="col">{costWords(choice)}</th>
            </tr>
          </thead>
          <tbody>
            {points.map((p) => (
              <tr key={p.value}>
                <th scope="row">{p.role === 'other' ? p.words : `${p.words}, ${p.role}`}</th>
                <td>{p.warned}</td>
                <td>{p.cost}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </figure>
  )
}

function pointsOf({ choice, order, outcomes }: RerunView): readonly CurvePoint[] {
  return outcomes
    .map((outcome): CurvePoint => ({
      value: outcome.value,
      words: valueText(outcome.value, choice),
      cost: costOf(outcome, choice),
      warned: warnedCount(outcome),
      role: outcome.value === choice.todayValue ? 'today' : outcome.value === order.value ? 'tried' : 'other',
    }))
    .sort((a, b) => a.value - b.value)
}

/** Today is a square, the tried value a triangle, all others small circles; values that fall together share a label. */
function drawingOf(points: readonly CurvePoint[], rerun: RerunView, width: number): SVGElement | HTMLElement {
  const clogs = rerun.outcomes[0]?.clogs.length ?? 0
  const labels = labelsOf(points)
  const most = Math.max(1, ...points.map((p) => p.cost))
  const drawing = Plot.plot({
    width: Math.max(220, width),
    height: 300,
    marginLeft: 44,
    marginRight: 24,
    marginTop: 28,
    marginBottom: 48,
    x: { label: costWords(rerun.choice), domain: [0, most * 1.15], ticks: 5, tickFormat: whole },
    y: { label: 'Clogs warned of', domain: [0, Math.max(1, clogs) * 1.1], ticks: 5, tickFormat: whole },
    marks: [
      Plot.ruleY([0]),
      Plot.ruleX([0]),
      Plot.line(points, { x: 'cost', y: 'warned', stroke: 'currentColor', strokeWidth: 1 }),
      Plot.dot(
        points.filter((p) => p.role === 'other'),
        { x: 'cost', y: 'warned', r: 3, fill: 'currentColor' },
      ),
      Plot.dot(
        points.filter((p) => p.role === 'today'),
        { x: 'cost', y: 'warned', r: 7, symbol: 'square', fill: 'currentColor' },
      ),
      Plot.dot(
        points.filter((p) => p.role === 'tried'),
        {
          x: 'cost',
          y: 'warned',
          r: 7,
          symbol: 'triangle',
          fill: 'var(--paper)',
          stroke: 'currentColor',
          strokeWidth: 2,
        },
      ),
      ...labels.map((label, i) =>
        Plot.text([label], {
          x: 'cost',
          y: 'warned',
          text: 'text',
          // The one above its mark, the other below, so that neither covers the other.
          dy: i === 0 ? -16 : 16,
          lineAnchor: i === 0 ? 'bottom' : 'top',
          // A text with a rim of its own has no filling unless it is asked for.
          fill: 'currentColor',
          stroke: 'var(--paper)',
          strokeWidth: 4,
        }),
      ),
    ],
  })
  // The page takes no style that stands in a drawing (content security policy); `rerun.css` has what is needed of it.
  for (const style of drawing.querySelectorAll('style')) style.remove()
  return drawing
}

function whole(tick: number): string {
  return Number.isInteger(tick) ? String(tick) : ''
}

interface Label {
  readonly cost: number
  readonly warned: number
  readonly text: string
}

/** Today and tried by word; where both fall together, both words in one label. */
function labelsOf(points: readonly CurvePoint[]): readonly Label[] {
  const named = points.filter((p) => p.role !== 'other')
  const places = new Map<string, Label>()
  for (const { cost, warned, role, words } of named) {
    const key = `${cost} ${warned}`
    const known = places.get(key)
    const text = `${role} ${words}`
    places.set(key, { cost, warned, text: known ? `${known.text}\n${text}` : text })
  }
  return [...places.values()]
}
