import { useLayoutEffect, useState } from 'preact/hooks'
import type { RefObject } from 'preact'
import type { StripRoom } from '../../strip/sheet-geometry.ts'

/** From this width on the words of a machine stand beside its strip; the same number stands in board.css. */
const BESIDE = '(min-width: 960px)'

/** The room that strips have, followed as the window and the letters change size. null before the first measure. */
export function useStripRoom(ref: RefObject<HTMLElement | null>): StripRoom | null {
  const [room, setRoom] = useState<StripRoom | null>(null)
  useLayoutEffect(() => {
    const cell = ref.current
    if (!cell) return undefined
    const measure = (): void => {
      const widthPx = Math.floor(cell.clientWidth)
      const remPx = parseFloat(getComputedStyle(document.documentElement).fontSize)
      const names = matchMedia(BESIDE).matches ? 'beside' : 'above'
      setRoom((old) =>
        old?.widthPx === widthPx && old.remPx === remPx && old.names === names
          ? old
          : { widthPx, remPx, names },
      )
    }
    measure()
    const observer = new ResizeObserver(measure)
    observer.observe(cell)
    return () => observer.disconnect()
  }, [])
  return room
}
