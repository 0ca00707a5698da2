import type { Quantity } from '../model/quantity.ts'
import type { SubjectContext } from './tracker.ts'

const found = new WeakMap<SubjectContext, Map<Quantity, number>>()

/** How long a reading of this quantity stands for the time after it: the longest of the sensors heard; 0 without any. */
export function validForMsOf(context: SubjectContext, quantity: Quantity): number {
  let ofContext = found.get(context)
  if (!ofContext) found.set(context, (ofContext = new Map<Quantity, number>()))
  let validForMs = ofContext.get(quantity)
  if (validForMs === undefined) {
    validForMs = 0
    for (const sensor of context.sensors.values()) {
      if (sensor.quantity === quantity) validForMs = Math.max(validForMs, sensor.validForMs)
    }
    ofContext.set(quantity, validForMs)
  }
  return validForMs
}
