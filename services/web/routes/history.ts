import { z } from 'zod'
import { gridOver } from '../../core/advise/history/grid.ts'
import { historyView } from '../../core/advise/history/history.ts'
import { historyViewSchema } from '../../core/model/history-view.ts'
import { nameSchema } from '../../core/model/name.ts'
import { QUARTER_MS } from '../../core/model/quarter.ts'
import { problemResponse, sendNotFound } from '../problem.ts'
import type { Routes } from './routes.ts'
import { bucketWidthMs } from './series.ts'

const MOST_MACHINES = 10
const atMsSchema = z.coerce.number().pipe(z.int().nonnegative().max(8.64e15))
const querySchema = z
  .strictObject({
    from: atMsSchema,
    to: atMsSchema,
    points: z.coerce.number().pipe(z.int().min(10).max(2000)).default(500),
    /** Ids with commas between; none: all. */
    machines: z
      .string()
      .max(1000)
      .transform((text) => text.split(',').filter((id) => id !== ''))
      .pipe(z.array(nameSchema).max(MOST_MACHINES, { error: `name at most ${MOST_MACHINES} machines` }))
      .default([]),
  })
  .refine((q) => q.from < q.to, { path: ['to'], error: 'must be later than from' })

/** Years to minutes of machines on one time axis. */
export const historyRoutes: Routes = async (app, { monitor, records }) => {
  app.get(
    '/history',
    {
      config: { permission: 'seeReadings' },
      schema: {
        operationId: 'readHistory',
        summary:
          'The past of machines: air, dose, power, bottle and troubles, each stretch with its extremes',
        tags: ['readings'],
        querystring: querySchema,
        response: { 200: historyViewSchema, default: problemResponse },
      },
    },
    async ({ query: { from, to, points, machines } }, reply) => {
      const settings = monitor.settings()
      const stranger = machines.find((id) => !settings.machines.some((m) => m.id === id))
      if (stranger !== undefined) {
        return sendNotFound(
          reply,
          `machines: there is no machine ${stranger}; see the settings for those there are`,
        )
      }
      const window = { fromMs: from, toMs: to }
      const widthMs = bucketWidthMs(to - from, points)
      const readings = gridOver(window, widthMs)
      const quarters = gridOver(window, Math.max(widthMs, QUARTER_MS))
      const asked = settings.machines.filter((m) => machines.length === 0 || machines.includes(m.id))
      return historyView({
        ...window,
        nowMs: monitor.nowMs(),
        settings,
        machines: asked.slice(0, MOST_MACHINES),
        readings,
        quarters,
        series: (sensorId, quantity) => records.series({ sensorId, quantity, ...window, bucketMs: widthMs }),
        quartersOf: (machineId) => records.machineQuarters({ machineId, ...window }),
        episodes: records.episodes(window),
      })
    },
  )
}
