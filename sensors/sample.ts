import type { Quantity } from '../services/core/model/quantity.ts'

/** One value as the node measured it, with all it takes to date it later. */
export interface Sample {
  /** The channel's name in the node's config; the second half of the sensor's id. */
  readonly channel: string
  readonly quantity: Quantity
  /** In the unit of its quantity (`UNIT_OF_QUANTITY`); true or false for `powered`. */
  readonly value: number | boolean
  /** The wall clock when it was measured, ms since 1970. */
  readonly atMs: number
  /** The monotonic clock of the same moment, ms since some start within this boot. */
  readonly monotonicMs: number
  /** Was the wall clock right then? A board without a battery starts in the past until it has reached a time server. */
  readonly trustedClock: boolean
}
