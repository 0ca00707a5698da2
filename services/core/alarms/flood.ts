/** An alarm flood is under way since `sinceMs`, or null; and when alarms last asked for somebody, oldest first. */
export interface Flood {
  readonly sinceMs: number | null
  readonly askedMs: readonly number[]
}

export const NO_FLOOD: Flood = { sinceMs: null, askedMs: [] }

/** Figures of the standard, by second hand: ten minutes, more than ten alarms, fewer than five. */
export const FLOOD_WITHIN_MS = 10 * 60_000
export const FLOOD_BEGINS_ABOVE = 10
export const FLOOD_ENDS_BELOW = 5

/**
 * FLOOD-1 a flood begins when more than 10 alarms asked for somebody within the last 10 minutes.
 * FLOOD-2 it ends when fewer than 5 did.
 * FLOOD-3 an alarm asks when it becomes unacknowledged, for the first time or again.
 */
export function askedAt(flood: Flood, atMs: number): Flood {
  const before = floodAt(flood, atMs)
  const askedMs = [...before.askedMs, atMs]
  return { sinceMs: before.sinceMs ?? (askedMs.length > FLOOD_BEGINS_ABOVE ? atMs : null), askedMs }
}

/** The flood as it is at `atMs`, nothing having asked since. */
export function floodAt(flood: Flood, atMs: number): Flood {
  const askedMs = flood.askedMs.filter((ms) => ms > atMs - FLOOD_WITHIN_MS)
  return { sinceMs: askedMs.length < FLOOD_ENDS_BELOW ? null : flood.sinceMs, askedMs }
}

/** When a flood ends if nothing more asks, or Infinity. */
export function floodEndMs({ sinceMs, askedMs }: Flood): number {
  if (sinceMs === null) return Infinity
  return (askedMs.at(-FLOOD_ENDS_BELOW) ?? sinceMs) + FLOOD_WITHIN_MS
}
