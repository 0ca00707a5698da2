import type { Bottle } from '../model/settings.ts'

type Vessel = Pick<Bottle, 'tareKg' | 'densityKgPerL' | 'capacityMl'>

/**
 * Creep of a cell of class C3 (3000 intervals) as a share of its capacity: 0.7 of its greatest error of 0.7 x 1.5
 * intervals, in 30 min near full load (OIML R 60-1:2021, 5.5.1). A 5 kg cell: 1.225 g.
 */
const CREEP_SHARE = (0.7 * 0.7 * 1.5) / 3000
/** Zero drift in 5 K: 0.7 of the least interval, a ten thousandth of the capacity (same, 5.6.1.3, Y = 10000). 5 kg: 0.35 g. */
const ZERO_SHARE_PER_K = 0.7 / 10_000 / 5
/** The widest swing of a day that must look like nothing. Starting value. */
const SWING_K = 15
/** A cell is usually bought with this much to spare. Starting value, no source. */
const CELL_OVER_LOAD = 1.5

/** Capacity in kg of the cell that probably stands under a bottle: nobody is asked for it. */
export function usualCellKg({ tareKg, densityKgPerL, capacityMl }: Vessel): number {
  return CELL_OVER_LOAD * (Math.max(0, tareKg) + (capacityMl / 1000) * densityKgPerL)
}

/** Creep in g that a class C3 cell of this capacity in kg may show within 30 min. */
export function creepG(cellKg: number): number {
  return cellKg * 1000 * CREEP_SHARE
}

/** Drift of the zero in g of a class C3 cell of this capacity in kg when its temperature changes by `changeK`. */
export function zeroDriftG(cellKg: number, changeK: number): number {
  return cellKg * 1000 * ZERO_SHARE_PER_K * Math.abs(changeK)
}

/** How far, in g, the scale under a bottle may be off without anything being wrong: creep, and a wide swing of the room. */
export function scaleErrorG(bottle: Vessel): number {
  const cellKg = usualCellKg(bottle)
  return creepG(cellKg) + zeroDriftG(cellKg, SWING_K)
}
