import type { MachineDoing } from '../model/quarter.ts'
import type { Latest } from './latest.ts'
import { initialRuns, type LevelRuns } from './power-runs.ts'

/** `on` is all that a contact can tell, or a meter without bands, or one that stands between its bands. */
export type PowerState = MachineDoing

export interface PowerFacts {
  state: PowerState
  /** Since when; null before the first reading. A change may be dated a little before it was sure. */
  sinceMs: number | null
  /** The last reading of any of the machine's sensors. */
  asOfMs: number | null
  /** The newest value of each meter and contact. */
  latest: Latest
  /** Was it on when that was last known? Silence does not change it. */
  wasOn: boolean | null
  /** When it was last seen on, and what it did then. */
  lastOnMs: number | null
  lastOnState: PowerState
  /** The last times that power fell, oldest first. */
  fallsMs: number[]
  lastCleaning: { fromMs: number; toMs: number } | null
  cleaningsSeen: number
  /** End of the last print that was seen. */
  printedToMs: number | null
  /** The meter that tells levels: its last reading (null after a silence or a fall), and how often it reports. */
  meter: { atMs: number | null; powerW: number; coveredMs: number; intervalMs: number }
  runs: LevelRuns
}

/** `fromMs`, `toMs` and the time of a state may lie up to some minutes before the reading that made them sure. */
export type PowerChange =
  | {
      readonly type: 'stateChanged'
      readonly from: PowerState
      readonly to: PowerState
      readonly atMs: number
    }
  | { readonly type: 'cleaned'; readonly fromMs: number; readonly toMs: number }
  | { readonly type: 'printed'; readonly fromMs: number; readonly toMs: number }
  /** `during`: what it did when it was last seen on. */
  | { readonly type: 'powerFell'; readonly atMs: number; readonly during: PowerState }
  | { readonly type: 'powerCame'; readonly atMs: number }
export type ReportPower = (change: PowerChange) => void

export function initialPower(): PowerFacts {
  return {
    state: 'unknown',
    sinceMs: null,
    asOfMs: null,
    latest: [],
    wasOn: null,
    lastOnMs: null,
    lastOnState: 'unknown',
    fallsMs: [],
    lastCleaning: null,
    cleaningsSeen: 0,
    printedToMs: null,
    meter: { atMs: null, powerW: 0, coveredMs: 0, intervalMs: 0 },
    runs: initialRuns(),
  }
}

/** The state is now another, since `atMs`; never since before the state that it follows. */
export function changeState(facts: PowerFacts, to: PowerState, atMs: number, report: ReportPower): void {
  const { state: from, sinceMs } = facts
  if (from === to) return
  facts.state = to
  facts.sinceMs = sinceMs === null ? atMs : Math.max(atMs, sinceMs)
  report({ type: 'stateChanged', from, to, atMs: facts.sinceMs })
}
