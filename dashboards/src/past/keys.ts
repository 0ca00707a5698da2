import type { HistoryGrid } from '../../../services/core/model/history-view.ts'
import { panned, STEP, zoomed, type PastWindow } from './window.ts'

/** What keys move. */
export interface KeyGrip {
  readonly past: {
    readonly window: { readonly peek: () => PastWindow }
    readonly cursorMs: { readonly peek: () => number | null }
    readonly move: (window: PastWindow) => void
    readonly take: (preset: 'all') => void
    readonly point: (atMs: number | null) => void
    readonly nowMs: () => number
  }
  readonly grid: Pick<HistoryGrid, 'widthMs'>
}

interface Key {
  readonly key: string
  readonly shiftKey: boolean
  readonly ctrlKey: boolean
  readonly altKey: boolean
  readonly metaKey: boolean
}

/**
 * KEYS-1 left and right move the reading line by a stretch, ten with Shift; the picture follows it over the edge.
 * KEYS-2 plus and minus zoom around the reading line, or the middle; Page up and down move by half of what is shown.
 * KEYS-3 Home goes to now, End to all; Escape takes the line away. All other keys are left to the browser.
 */
export function onKey({ key, shiftKey, ctrlKey, altKey, metaKey }: Key, { past, grid }: KeyGrip): boolean {
  if (ctrlKey || altKey || metaKey) return false
  const window = past.window.peek()
  const reach = { nowMs: past.nowMs() }
  const spanMs = window.toMs - window.fromMs
  const aroundMs = past.cursorMs.peek() ?? (window.fromMs + window.toMs) / 2
  const zoomBy = (factor: number): void => past.move(zoomed(window, { factor, aroundMs }, reach))
  switch (key) {
    case 'ArrowLeft':
      stepBy(-grid.widthMs * (shiftKey ? 10 : 1), past)
      return true
    case 'ArrowRight':
      stepBy(grid.widthMs * (shiftKey ? 10 : 1), past)
      return true
    case '+':
    case '=':
    case 'ArrowUp':
      zoomBy(STEP)
      return true
    case '-':
    case 'ArrowDown':
      zoomBy(1 / STEP)
      return true
    case 'PageUp':
      past.move(panned(window, -spanMs / 2, reach))
      return true
    case 'PageDown':
      past.move(panned(window, spanMs / 2, reach))
      return true
    case 'Home':
      past.move(panned(window, reach.nowMs - window.toMs, reach))
      return true
    case 'End':
      past.take('all')
      return true
    case 'Escape':
      past.point(null)
      return true
    default:
      return false
  }
}

function stepBy(byMs: number, past: KeyGrip['past']): void {
  const { fromMs, toMs } = past.window.peek()
  const reach = { nowMs: past.nowMs() }
  const fromWhere = past.cursorMs.peek() ?? (fromMs + toMs) / 2
  const atMs = Math.min(reach.nowMs, fromWhere + byMs)
  past.point(atMs)
  if (atMs < fromMs) past.move(panned({ fromMs, toMs }, atMs - fromMs, reach))
  if (atMs > toMs) past.move(panned({ fromMs, toMs }, atMs - toMs, reach))
}
