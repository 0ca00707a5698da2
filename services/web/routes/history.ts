import { CSV_CONTENT_TYPE } from '../../codecs/csv.ts'
import { historyCsv } from '../../codecs/history-csv.ts'
import { historyViewSchema } from '../../core/model/history-view.ts'
import { historyQuerySchema, pastOf } from '../history-past.ts'
import { problemResponse, sendNotFound, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const config = { permission: 'seeReadings' } as const
const tags = ['readings']

/** Years to minutes of machines, rooms and bottles on one time axis. */
export const historyRoutes: Routes = async (app, parts) => {
  app.get(
    '/history',
    {
      config,
      schema: {
        operationId: 'readHistory',
        summary:
          'The past on one time axis: air, dose, power, bottles, troubles and tasks, each stretch with its extremes',
        tags,
        querystring: historyQuerySchema,
        response: { 200: historyViewSchema, default: problemResponse },
      },
    },
    async ({ query }, reply) => {
      const past = await pastOf(query, parts)
      return past.ok ? past.view : sendNotFound(reply, past.reason)
    },
  )
  app.get(
    '/history.csv',
    {
      config,
      schema: {
        operationId: 'exportHistory',
        summary: 'The same as CSV (RFC 4180): a line for each stretch, times in UTC and in the shop’s zone',
        tags,
        querystring: historyQuerySchema,
        response: {
          200: textResponse(CSV_CONTENT_TYPE, 'A line for each stretch'),
          default: problemResponse,
        },
      },
    },
    async ({ query }, reply) => {
      const past = await pastOf(query, parts)
      if (!past.ok) return sendNotFound(reply, past.reason)
      return reply
        .type(CSV_CONTENT_TYPE)
        .header('content-disposition', 'attachment; filename="history.csv"')
        .send(historyCsv(past.view, parts.monitor.settings().site.timeZone))
    },
  )
}
