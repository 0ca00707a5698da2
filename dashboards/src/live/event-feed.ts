import { signal, type ReadonlySignal } from '@preact/signals'
import type { Timers } from './coalesce.ts'

/** The part of `EventSource` that the feed uses. */
export interface EventLine {
  readonly addEventListener: (name: string, then: (event: { readonly data: string }) => void) => void
  readonly close: () => void
}

export interface EventFeed {
  /** Since when the line is down; null while it stands. */
  readonly lostSinceMs: ReadonlySignal<number | null>
  readonly start: () => void
  readonly stop: () => void
  /** Tells that something else found the server gone: the line is opened anew. */
  readonly suspect: () => void
}

export interface EventFeedParts {
  readonly open: () => EventLine
  readonly names: readonly string[]
  readonly onEvent: (name: string, data: unknown) => void
  /** The line stands, for the first time or again: what was missed has to be asked for. */
  readonly onOpen: () => void
  readonly timers: Timers
}

/** How long to wait before try number `tries` (0 is the first): 1 s, doubled each time, at most 30 s. */
export function backOffMs(tries: number): number {
  return Math.min(30_000, 1000 * 2 ** Math.max(0, tries))
}

export function createEventFeed({ open, names, onEvent, onOpen, timers }: EventFeedParts): EventFeed {
  const lostSinceMs = signal<number | null>(null)
  let line: EventLine | null = null
  let cancel: (() => void) | null = null
  let tries = 0

  const hangUp = (): void => {
    cancel?.()
    cancel = null
    line?.close()
    line = null
  }
  const lose = (): void => {
    hangUp()
    lostSinceMs.value ??= timers.nowMs()
    cancel = timers.later(backOffMs(tries++), connect)
  }
  const connect = (): void => {
    hangUp()
    const opened = open()
    line = opened
    // A line that was hung up may still have an event on its way: only the line of now is listened to.
    const listen = (name: string, then: (data: string) => void): void =>
      opened.addEventListener(name, ({ data }) => {
        if (line === opened) then(data)
      })
    listen('open', () => {
      tries = 0
      lostSinceMs.value = null
      onOpen()
    })
    listen('error', lose)
    for (const name of names) listen(name, (data) => onEvent(name, parsed(data)))
  }
  return {
    lostSinceMs,
    start: connect,
    stop: () => {
      hangUp()
      tries = 0
      lostSinceMs.value = null
    },
    suspect: () => {
      // A try that is already on its way is left alone, or failing requests would push it ever further off.
      if (line) lose()
    },
  }
}

function parsed(data: string): unknown {
  try {
    return JSON.parse(data)
  } catch {
    return null
  }
}
