import { z } from 'zod'

/**
 * What a sensor can tell, each with the one unit it travels and is stored in (SenML unit symbols, RFC 8428
 * section 12.1). In SenML `%` means a ratio, so humidity is `%RH`. `powered` is a yes or no, stored as 1 or 0.
 */
export const QUANTITIES = [
  'humidity',
  'temperature',
  'mass',
  'power',
  'powered',
  'voltage',
  'current',
] as const
export const quantitySchema = z.enum(QUANTITIES)
export type Quantity = z.infer<typeof quantitySchema>

export const UNIT_OF_QUANTITY = {
  humidity: '%RH',
  temperature: 'Cel',
  mass: 'kg',
  power: 'W',
  powered: '/',
  voltage: 'V',
  current: 'A',
} as const satisfies Record<Quantity, string>

/**
 * Values outside these bounds cannot be a measurement of the quantity, whatever the sensor: they are refused at
 * the door. Bounds are physical for humidity and the contact; for the rest, wide starting values (common
 * practice, no source): a load cell under a bottle, a plug-in meter, a room.
 */
export const POSSIBLE_RANGE = {
  humidity: [0, 100],
  temperature: [-60, 120],
  mass: [-100, 1000],
  power: [-100, 100_000],
  powered: [0, 1],
  voltage: [-1000, 1000],
  current: [-1000, 1000],
} as const satisfies Record<Quantity, readonly [number, number]>
