import { z } from 'zod'
import { quantitySchema, UNIT_OF_QUANTITY, type Quantity } from '../../core/model/quantity.ts'
import type { Monitor } from '../../core/model/ports/monitor.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'
import { sensorIdSchema } from '../../core/model/subject.ts'
import { problemResponse, sendNotFound } from '../problem.ts'
import type { Routes } from './routes.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR
/** Widths that divide a day, so that buckets of one chart fall on those of the next. */
const BUCKETS_MS = [
  1_000, 2_000, 5_000, 10_000, 15_000, 30_000,
  MIN, 2 * MIN, 5 * MIN, 10 * MIN, 15 * MIN, 30 * MIN,
  HOUR, 2 * HOUR, 3 * HOUR, 6 * HOUR, 12 * HOUR, DAY,
] // prettier-ignore

const atMsSchema = z.coerce.number().pipe(z.int().nonnegative().max(8.64e15))
const querySchema = z
  .strictObject({
    from: atMsSchema,
    to: atMsSchema,
    points: z.coerce.number().pipe(z.int().min(10).max(5000)).default(500),
  })
  .refine((q) => q.from < q.to, { path: ['to'], error: 'must be later than from' })

/** One sensor's past, in as many points as a chart can show. */
export const seriesRoutes: Routes = async (app, { monitor, records, past }) => {
  app.get(
    '/series/:sensorId',
    {
      config: { permission: 'seeReadings' },
      schema: {
        operationId: 'readSeries',
        summary: 'A sensor from one time to another (ms since 1970); each point is [start, min, mean, max]',
        tags: ['readings'],
        params: z.strictObject({ sensorId: sensorIdSchema }),
        querystring: querySchema,
        response: {
          200: z.object({
            sensorId: sensorIdSchema,
            quantity: quantitySchema,
            unit: z.string(),
            bucketMs: z.int(),
            points: z.array(z.tuple([z.int(), z.number(), z.number(), z.number()])),
            /** The store that told it, and what to know of that, in words. */
            from: z.enum(['book', 'influx']),
            note: z.string().nullable(),
          }),
          default: problemResponse,
        },
      },
    },
    async ({ params: { sensorId }, query: { from, to, points } }, reply) => {
      const quantity = quantityOf(sensorId, monitor, records)
      if (!quantity) {
        return sendNotFound(reply, `sensorId: ${sensorId} is neither assigned nor heard; see /api/v1/sensors`)
      }
      const bucketMs = bucketWidthMs(to - from, points)
      const { points: found, ...source } = await past.series({
        sensorId,
        quantity,
        fromMs: from,
        toMs: to,
        bucketMs,
      })
      return {
        sensorId,
        quantity,
        unit: UNIT_OF_QUANTITY[quantity],
        bucketMs,
        points: found.map(({ atMs, min, mean, max }): [number, number, number, number] => [
          atMs,
          min,
          mean,
          max,
        ]),
        ...source,
      }
    },
  )
}

/** The narrowest usual width that gives at most `points` buckets; whole days beyond a day. */
export function bucketWidthMs(spanMs: number, points: number): number {
  const least = spanMs / points
  return BUCKETS_MS.find((width) => width >= least) ?? Math.ceil(least / DAY) * DAY
}

export function quantityOf(sensorId: string, monitor: Monitor, records: RecordsReader): Quantity | undefined {
  const bound = monitor.settings().sensors.find((s) => s.id === sensorId)
  return bound?.quantity ?? records.heardSensors().find((s) => s.sensorId === sensorId)?.quantity
}
