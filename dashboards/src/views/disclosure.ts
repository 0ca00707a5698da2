import { useRef, useState } from 'preact/hooks'
import type { RefObject } from 'preact'

export interface Disclosure {
  readonly isOpen: boolean
  /** Closes it and gives the focus back to the button that opened it. */
  readonly close: () => void
  /** What the button is given. */
  readonly button: {
    readonly ref: RefObject<HTMLButtonElement | null>
    readonly 'aria-expanded': boolean
    readonly 'aria-controls': string
    readonly onClick: () => void
  }
  /** For the element around button and panel: Escape closes from anywhere within. */
  readonly onKeyDown: (event: KeyboardEvent) => void
}

/** A button that unfolds the panel with the id `panelId` in place; the focus stays on the button. */
export function useDisclosure(panelId: string): Disclosure {
  const [isOpen, setOpen] = useState(false)
  const ref = useRef<HTMLButtonElement>(null)
  const close = (): void => {
    setOpen(false)
    ref.current?.focus()
  }
  return {
    isOpen,
    close,
    button: {
      ref,
      'aria-expanded': isOpen,
      'aria-controls': panelId,
      onClick: () => setOpen(!isOpen),
    },
    onKeyDown: (event) => {
      if (event.key !== 'Escape' || !isOpen) return
      event.stopPropagation()
      close()
    },
  }
}
