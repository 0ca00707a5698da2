import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

/** Distance of the forecast's grid. */
export const FORECAST_GRID_MS = 15 * 60_000

/**
 * The last days of a room as the forecast replays them: at most 28, newest last, each from a shop-local noon (or the
 * like; see the forecast) on the forecast's grid. A null is a grid point that nobody measured.
 */
export const roomNightsSchema = z.strictObject({
  kind: z.literal('roomNights'),
  ...learnedStamp,
  days: z
    .array(
      z.strictObject({
        startMs: z.int(),
        temperatureC: z.array(z.number().nullable()).max(400),
        humidityRatioGPerKg: z.array(z.number().nullable()).max(400),
      }),
    )
    .max(28),
})
export type RoomNights = z.infer<typeof roomNightsSchema>
