import { z } from 'zod'
import { problemResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const healthSchema = z.object({ ok: z.boolean(), problems: z.array(z.string()) })

/** The monitor's own health, for those who watch the watcher. */
export const ownHealthRoutes: Routes = async (app, { monitor, metrics }) => {
  app.get(
    '/healthz',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'readHealth',
        summary: 'Is the monitor itself well? 503 when not',
        tags: ['own health'],
        response: { 200: healthSchema, 503: healthSchema, default: problemResponse },
      },
    },
    async (_, reply) => {
      const { ok, problems } = monitor.health()
      return reply.code(ok ? 200 : 503).send({ ok, problems: [...problems] })
    },
  )
  app.get(
    '/metrics',
    {
      config: { permission: 'seeMetrics' },
      schema: {
        operationId: 'readMetrics',
        summary: 'Metrics as OpenMetrics text',
        tags: ['own health'],
        response: {
          200: {
            description: 'OpenMetrics',
            content: { 'application/openmetrics-text': { schema: z.string() } },
          },
          default: problemResponse,
        },
      },
    },
    async (_, reply) => {
      const text = await metrics.text()
      return reply
        .type(metrics.contentType)
        .serializer((t: string) => t)
        .send(text)
    },
  )
}
