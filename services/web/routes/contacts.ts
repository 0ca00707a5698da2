import { z } from 'zod'
import { nameSchema } from '../../core/model/name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

/** Those who are told. Who they are stands in the settings. */
export const contactRoutes: Routes = async (app, { monitor }) => {
  app.post(
    '/contacts/:id/test',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'testContact',
        summary: 'Send this contact a test by every way; their answer proves that replies reach the shop',
        tags: ['telling'],
        params: z.strictObject({ id: nameSchema }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'noticeTestAsked', act, contactId: request.params.id }),
      )
    },
  )
}
