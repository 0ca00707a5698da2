import type { Quantity } from '../model/quantity.ts'

/** Why a sensor is not believed. */
export const DISTRUSTS = ['stuck', 'implausible', 'outOfStep'] as const
export type Distrust = (typeof DISTRUSTS)[number]

/** The last change of mind about a sensor, dated twice. */
export interface Verdict {
  distrusted: boolean
  /** When the stretch that proves it began: of bad readings when distrusted, of good ones when not. */
  sinceMs: number
  /** When it was sure. */
  sureMs: number
  /** What proved it: the value repeated, a bad value, or how far apart it stands from the others (signed). */
  value: number
  worst: number
}

/** What is remembered of one sensor to tell whether it can be believed. Plain data, survives JSON. */
export interface TrustState {
  quantity: Quantity
  lastMs: number | null
  lastValue: number

  /** The value has stood still since then, ... */
  stillFromMs: number
  /** ... for so many readings. */
  stillReadings: number
  /** Smallest change ever seen: what the source can tell apart. */
  finestStep: number | null
  /** While stuck: the first change, or null. */
  changedMs: number | null

  /** The present run of bad readings; meaningful with `badReadings` above 0. */
  badFromMs: number
  badReadings: number
  lastBadMs: number | null
  /** While implausible: the present run of good ones. */
  goodFromMs: number
  goodReadings: number

  /** Since when it stands apart from the others of its room, or null. */
  apartFromMs: number | null
  /** Time apart, counted more the further apart. */
  apartMs: number
  /** While out of step: since when it is back among them, or null. */
  backFromMs: number | null
  /** While out of step: is it sure that this one is wrong, not the other? */
  blamedAlone: boolean

  /** null: never distrusted for this. */
  stuck: Verdict | null
  implausible: Verdict | null
  outOfStep: Verdict | null
}

export function initialTrust(quantity: Quantity): TrustState {
  return {
    quantity,
    lastMs: null,
    lastValue: 0,
    stillFromMs: 0,
    stillReadings: 0,
    finestStep: null,
    changedMs: null,
    badFromMs: 0,
    badReadings: 0,
    lastBadMs: null,
    goodFromMs: 0,
    goodReadings: 0,
    apartFromMs: null,
    apartMs: 0,
    backFromMs: null,
    blamedAlone: false,
    stuck: null,
    implausible: null,
    outOfStep: null,
  }
}

/** Is the sensor believed in every way? */
export function isTrusted({ stuck, implausible, outOfStep }: TrustState): boolean {
  return !(stuck?.distrusted || implausible?.distrusted || outOfStep?.distrusted)
}
