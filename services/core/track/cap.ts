/** Where the head stands as to its cap. */
export type CapState = 'capped' | 'probablyUncapped' | 'uncapped'

export interface CapFacts {
  state: CapState
  /** Since when; null before anything was seen. */
  sinceMs: number | null
  /** Who says so. */
  by: 'power' | 'person'
  /** A machine that has power again is taken as capped from then on. */
  cappedAgainMs: number | null
  /** Somebody works on the machine, until they say otherwise, or at the latest until then. */
  servicedUntilMs: number | null
}

/** A machine that starts sends its carriage home within this time (common practice, no source). */
const HOMING_MS = 2 * 60_000

export function initialCap(): CapFacts {
  return { state: 'capped', sinceMs: null, by: 'power', cappedAgainMs: null, servicedUntilMs: null }
}

/**
 * CAP-1 a machine whose power falls while it prints is probably off its cap from that moment.
 * CAP-2 what a person says holds: off its cap, or on it.
 * CAP-3 a machine that has had power again for two minutes has sent its carriage home, and is capped; one that a person
 *       found off its cap is so only when it is seen to clean or print.
 * CAP-4 while a machine is serviced its head counts as off its cap; who is done says so, and then it is capped.
 */
export function powerFell(cap: CapFacts, atMs: number, whilePrinting: boolean): void {
  cap.cappedAgainMs = null
  if (whilePrinting && cap.state === 'capped') change(cap, 'probablyUncapped', 'power', atMs)
}

export function powerCame(cap: CapFacts, atMs: number): void {
  if (cap.state === 'probablyUncapped') cap.cappedAgainMs = atMs + HOMING_MS
}

/** The machine was seen to clean or print: it moves its carriage by itself, so nobody's hand is in it. */
export function machineWorked(cap: CapFacts, atMs: number): void {
  if (cap.state !== 'capped' && cap.servicedUntilMs === null) change(cap, 'capped', 'power', atMs)
}

export function personSaidCap(cap: CapFacts, atMs: number, capped: boolean): void {
  if (capped) cap.servicedUntilMs = null
  change(cap, capped ? 'capped' : 'uncapped', 'person', atMs)
}

export function personSaidServicing(
  cap: CapFacts,
  atMs: number,
  { servicing, servicingMs }: { servicing: boolean; servicingMs: number },
): void {
  cap.servicedUntilMs = servicing ? atMs + servicingMs : null
  change(cap, servicing ? 'uncapped' : 'capped', 'person', atMs)
}

/** When the cap changes by time alone, or Infinity. */
export function capDeadlineMs({ cappedAgainMs, servicedUntilMs }: CapFacts): number {
  return Math.min(cappedAgainMs ?? Infinity, servicedUntilMs ?? Infinity)
}

/** Time came to `atMs`. */
export function fireCap(cap: CapFacts, atMs: number): void {
  if (cap.cappedAgainMs !== null && cap.cappedAgainMs <= atMs) change(cap, 'capped', 'power', atMs)
  // Nobody said that it is done: the head counts as off its cap, and now the question comes.
  if (cap.servicedUntilMs !== null && cap.servicedUntilMs <= atMs) cap.servicedUntilMs = null
}

function change(cap: CapFacts, state: CapState, by: CapFacts['by'], atMs: number): void {
  cap.cappedAgainMs = null
  cap.by = by
  if (cap.state === state) return
  cap.state = state
  cap.sinceMs = atMs
}
