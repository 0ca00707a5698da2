import * as Plot from '@observablehq/plot'
import { useEffect, useRef, useState } from 'preact/hooks'

/** Colours of the page: they follow light and dark by themselves. */
export const INK = 'var(--ink)'
export const TRACE = 'var(--trace)'
export const FAINT = 'var(--fluid)'
export const BAND = 'var(--fluid-tint)'

const LOWEST = 180

export interface ChartProps {
  /** What it shows, for those who hear it. The numbers stand in a table beside it. */
  readonly label: string
  readonly draw: (width: number) => Plot.PlotOptions
}

/**
 * A drawing that is as wide as its place. It is made in a document of its own and taken over without the style sheet
 * that the library would bring: the policy of the page forbids it, and the looks are ours.
 */
export function Chart({ label, draw }: ChartProps) {
  const place = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState(0)
  useEffect(() => {
    const { current } = place
    if (!current) return
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)))
    observer.observe(current)
    return () => observer.disconnect()
  }, [])
  useEffect(() => {
    const { current } = place
    if (!current || width < LOWEST) return
    const drawn = Plot.plot({
      width,
      marginLeft: 44,
      marginBottom: 44,
      ...draw(width),
      document: document.implementation.createHTMLDocument(),
    })
    for (const style of drawn.querySelectorAll('style')) style.remove()
    // It is one picture with one name: parts of it have none of their own.
    for (const part of drawn.querySelectorAll('[aria-label]')) part.removeAttribute('aria-label')
    drawn.setAttribute('role', 'img')
    drawn.setAttribute('aria-label', label)
    current.replaceChildren(document.adoptNode(drawn))
  }, [width, draw, label])
  return <div class="chart" ref={place} />
}
