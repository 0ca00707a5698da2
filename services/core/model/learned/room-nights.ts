import { z } from 'zod'
import { learnedStamp } from './learned-stamp.ts'

/** Distance of the forecast's grid. */
export const FORECAST_GRID_MS = 15 * 60_000
/** Distance of the remembered days' slots: wide enough to keep the value small, narrow enough for a room's air. */
export const DAY_SLOT_MS = 30 * 60_000
export const SLOTS_A_DAY = 48

const slotsSchema = z.array(z.number().nullable()).length(SLOTS_A_DAY)

/**
 * The last days of a room's air as the forecast replays them: at most 28, oldest first. A day is a date of the shop's
 * calendar; slot `i` is the mean of the half hour around local time i x 30 min, so slot 0 stands for midnight. A null is
 * a slot that nobody measured; a date that nobody measured is left out. In a night when clocks go forward the hour that
 * is not there is null; when they go back, the hour that comes twice is averaged.
 */
export const roomNightsSchema = z.strictObject({
  kind: z.literal('roomNights'),
  ...learnedStamp,
  days: z
    .array(
      z.strictObject({
        date: z.iso.date(),
        temperatureC: slotsSchema,
        humidityPct: slotsSchema,
      }),
    )
    .max(28),
})
export type RoomNights = z.infer<typeof roomNightsSchema>
