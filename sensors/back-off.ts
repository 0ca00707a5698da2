/** Growing waits between attempts. */
export interface BackOff {
  /** The next wait in ms: doubled each time up to the most, less up to half by chance, so that nodes do not come all at once. */
  readonly nextMs: () => number
  readonly reset: () => void
}

export interface BackOffOptions {
  readonly firstMs: number
  readonly mostMs: number
}

export function createBackOff({ firstMs, mostMs }: BackOffOptions): BackOff {
  let fullMs = firstMs
  return {
    nextMs: () => {
      const waitMs = fullMs * (1 - Math.random() / 2)
      fullMs = Math.min(mostMs, fullMs * 2)
      return waitMs
    },
    reset: () => (fullMs = firstMs),
  }
}
