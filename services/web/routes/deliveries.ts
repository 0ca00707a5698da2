import { z } from 'zod'
import { CHANNELS } from '../../core/model/ports/notify.ts'
import { problemResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const attemptSchema = z.object({
  atMs: z.int(),
  noticeKey: z.string(),
  contactId: z.string(),
  channel: z.enum(CHANNELS),
  /** Masked: enough to know which it was. */
  target: z.string(),
  outcome: z.enum(['taken', 'dead', 'later', 'late']),
  reason: z.string(),
})

/** What was sent to whom, when, and what came of it. */
export const deliveryRoutes: Routes = async (app, { telling }) => {
  app.get(
    '/deliveries',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'listDeliveries',
        summary: 'Every try to deliver a notice, newest first',
        tags: ['telling'],
        querystring: z.strictObject({ limit: z.coerce.number().int().min(1).max(500).default(100) }),
        response: { 200: z.object({ deliveries: z.array(attemptSchema) }), default: problemResponse },
      },
    },
    async (request) => ({ deliveries: [...telling.attempts(request.query.limit)] }),
  )
}
