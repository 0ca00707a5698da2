import { z } from 'zod'
import { CHECK_REASONS } from '../../core/model/act.ts'
import { nameSchema } from '../../core/model/name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const missingSchema = z.strictObject({
  channelGroupId: nameSchema,
  missingNozzles: z.int().nonnegative().max(100_000),
})

/** The log of nozzle checks. */
export const nozzleCheckRoutes: Routes = async (app, { monitor }) => {
  app.post(
    '/nozzle-checks',
    {
      config: { permission: 'logNozzleChecks' },
      schema: {
        operationId: 'logNozzleCheck',
        summary: 'Log a nozzle check: what was missing, and why it was made',
        tags: ['nozzle checks'],
        body: z.strictObject({
          machineId: nameSchema,
          reason: z.enum(CHECK_REASONS),
          missing: z.array(missingSchema).max(256),
        }),
        response: { 201: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'nozzleCheckLogged', act, ...request.body }),
        201,
      )
    },
  )
}
