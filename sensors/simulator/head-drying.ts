/**
 * Ink that dries in the nozzles of a head, told as the share of its water that is gone. This is the simulator's own
 * model and on purpose another than the monitor's: a share that runs towards 1, a cap that itself dries out, and
 * evaporation that grows a little slower than the air's deficit. All numbers are starting values, no source.
 */
export interface HeadDryness {
  colour: number
  white: number
  /** How dry the cap's sponge is, from 0 to 1. */
  cap: number
}

/** Of the water left, lost an hour uncapped at 1 kPa: most of it within two hours. */
const UNCAPPED_PER_H = 0.5
const WHITE_DRIES_FASTER = 1.7
const MOIST_CAP_SHARE = 1 / 100
const DRY_CAP_SHARE = 1 / 30
/** A sponge that no purge wets dries over about ten days. */
const CAP_PER_H = 1 / 240
const WETTED_BY_CLEANING = 0.2
const PRINTING_PER_H = 40
const CLOGS_AT = 0.66
const CLOG_WIDTH = 0.05

export function createHeadDryness(): HeadDryness {
  return { colour: 0, white: 0, cap: 0 }
}

export interface HeadSurroundings {
  readonly hours: number
  readonly vapourPressureDeficitKpa: number
  readonly capped: boolean
  readonly printingShare: number
  readonly cleaned: boolean
}

export function stepHeadDryness(head: HeadDryness, around: HeadSurroundings): void {
  const { hours, vapourPressureDeficitKpa, capped, printingShare, cleaned } = around
  const pull = vapourPressureDeficitKpa ** 0.85
  const share = capped ? MOIST_CAP_SHARE + (DRY_CAP_SHARE - MOIST_CAP_SHARE) * head.cap : 1
  const idleHours = hours * (1 - printingShare)
  const wet = Math.exp(-PRINTING_PER_H * hours * printingShare) * (cleaned ? WETTED_BY_CLEANING : 1)
  const dried = (was: number, perH: number): number =>
    (1 - (1 - was) * Math.exp(-perH * pull * share * idleHours)) * wet
  head.colour = dried(head.colour, UNCAPPED_PER_H)
  head.white = dried(head.white, UNCAPPED_PER_H * WHITE_DRIES_FASTER)
  head.cap = cleaned ? 0 : 1 - (1 - head.cap) * Math.exp(-CAP_PER_H * pull * hours)
}

/** Nozzles that a check would find missing in a group of `nozzles` that has dried this far. */
export function missingNozzles(dryness: number, nozzles: number): number {
  return Math.floor(nozzles / 3 / (1 + Math.exp((CLOGS_AT - dryness) / CLOG_WIDTH)))
}
