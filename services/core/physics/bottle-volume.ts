import type { Bottle } from '../model/settings.ts'

type Vessel = Pick<Bottle, 'tareKg' | 'densityKgPerL' | 'capacityMl'>

/** Waste in g from what the scale reads in kg. Negative when the scale reads less than the empty bottle. */
export function contentsG(massKg: number, { tareKg }: Pick<Bottle, 'tareKg'>): number {
  return (massKg - tareKg) * 1000
}

/** Volume of waste in mL from what the scale reads in kg. Negative when the scale reads less than the empty bottle. */
export function wasteVolumeMl(massKg: number, bottle: Vessel): number {
  return ((massKg - bottle.tareKg) / bottle.densityKgPerL) * 1000
}

/** How full the bottle is, in percent of its capacity. Above 100 when it holds more than it should. */
export function fillPct(massKg: number, bottle: Vessel): number {
  return (wasteVolumeMl(massKg, bottle) / bottle.capacityMl) * 100
}
