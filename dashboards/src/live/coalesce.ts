export interface Timers {
  readonly nowMs: () => number
  /** Runs `then` after `ms`; gives what cancels it. */
  readonly later: (ms: number, then: () => void) => () => void
}

/** Lets a burst of calls through as one at once and one at the end, at most one each `everyMs`. */
export function createCoalescer({
  everyMs,
  run,
  timers,
}: {
  everyMs: number
  run: () => void
  timers: Timers
}): { call: () => void; stop: () => void } {
  let lastMs = -Infinity
  let cancel: (() => void) | null = null
  const fire = (): void => {
    cancel = null
    lastMs = timers.nowMs()
    run()
  }
  return {
    call: () => {
      if (cancel) return
      const waitMs = lastMs + everyMs - timers.nowMs()
      if (waitMs <= 0) fire()
      else cancel = timers.later(waitMs, fire)
    },
    stop: () => {
      cancel?.()
      cancel = null
    },
  }
}
