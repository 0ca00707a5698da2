import type { Latest } from './latest.ts'
import type { TrackedFacts } from './tracker.ts'

export type BottleStanding = 'onTheScale' | 'lifted' | 'unknown'

/** One reading, or the mean of all that came within one slot. */
export interface LevelSample {
  atMs: number
  massKg: number
  count: number
}

/** A time at which the scale was at rest, and what it then read. */
export interface SettledLevel {
  atMs: number
  massKg: number
}

/**
 * A bottle came back with a fifth or less of what was in it. `replaced`: it weighs less than the empty bottle should, so
 * it is another one, or was washed out.
 */
export interface Emptying {
  kind: 'emptied' | 'replaced'
  /** Lifted off and put back; when nobody saw it off the scale, the last rest before and the first after. */
  fromMs: number
  toMs: number
  /** What left with it, in g. */
  removedG: number
  /** What the scale then read above the tare, in g: sludge. Negative: the tare is too high for this bottle. */
  remainedG: number
}

export interface CleaningSeen {
  readonly atMs: number
  readonly machineId: string
  /** One of the machine's own rounds: its waste is owed. Of any other it only tells that waste arrives, if it does. */
  readonly owes: boolean
}

/** What is known of a waste bottle on its scale. */
export interface BottleFacts extends TrackedFacts {
  latest: Latest
  /** The newest samples with the bottle on the scale, oldest first. */
  samples: LevelSample[]
  standing: BottleStanding
  /** The first reading of the present standing; for `unknown`, when it became so. */
  standingFromMs: number | null
  /** The newest reading of its scale. */
  heardMs: number | null
  /** When it last fell silent. */
  silentMs: number | null
  /** What stands on the scale, filtered; null while it is lifted, silent, or not long enough back. */
  massKg: number | null
  volumeMl: number | null
  fillPct: number | null
  /** The last rest of the scale with the bottle on it. */
  settled: SettledLevel | null
  /** Off the scale since the last rest; `toMs` when it came back. */
  lift: { fromMs: number; toMs: number | null } | null
  /** When it last came back from a hand: gains and losses are counted from there. */
  handledMs: number | null
  lastEmptying: Emptying | null
  /** What the empty bottle now weighs, offered as its new tare. */
  newTareKg: number | null
  /** The tare that all this was reckoned with. */
  tareKg: number | null
  /** Cleanings of the last hours that drained into it, oldest first. */
  cleanings: CleaningSeen[]
  /** When each of its machines was last seen to end one. */
  cleanedMs: Record<string, number>
}

export function initialBottle(): BottleFacts {
  return {
    atMs: null,
    latest: [],
    samples: [],
    standing: 'unknown',
    standingFromMs: null,
    heardMs: null,
    silentMs: null,
    massKg: null,
    volumeMl: null,
    fillPct: null,
    settled: null,
    lift: null,
    handledMs: null,
    lastEmptying: null,
    newTareKg: null,
    tareKg: null,
    cleanings: [],
    cleanedMs: {},
  }
}
