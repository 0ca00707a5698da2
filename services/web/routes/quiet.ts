import { z } from 'zod'
import { QUIET_KINDS } from '../../core/model/act.ts'
import { nameSchema } from '../../core/model/name.ts'
import { quietViewSchema } from '../../core/model/views.ts'
import { actOf } from '../auth/guards.ts'
import { createSecret } from '../auth/secrets.ts'
import { problemResponse, noContent, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['planned quiet']

/** Planned quiet: a machine out of service, known work on the power. */
export const quietRoutes: Routes = async (app, { monitor }) => {
  app.get(
    '/quiet',
    {
      config: { permission: 'seeBoard' },
      schema: {
        operationId: 'listQuiet',
        summary: 'Planned quiet that is not over',
        tags,
        response: { 200: z.object({ quiets: z.array(quietViewSchema) }), default: problemResponse },
      },
    },
    async () => ({ quiets: [...monitor.quiets()] }),
  )
  app.post(
    '/quiet',
    {
      config: { permission: 'planQuiet' },
      schema: {
        operationId: 'planQuiet',
        summary: 'Plan quiet: nobody is told of what it explains; all of it stays on record',
        tags,
        body: z.strictObject({
          kind: z.enum(QUIET_KINDS),
          /** null: the whole shop. */
          machineId: nameSchema.nullable(),
          fromMs: z.int().nonnegative(),
          /** null: until somebody ends it. Power work must say when it ends. */
          toMs: z.int().nonnegative().nullable(),
          note: z.string().max(500).default(''),
        }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const quietId = createSecret().slice(0, 12)
      return sendOutcome(reply, await monitor.submit({ type: 'quietPlanned', act, quietId, ...request.body }))
    },
  )
  app.delete(
    '/quiet/:id',
    {
      config: { permission: 'planQuiet' },
      schema: {
        operationId: 'endQuiet',
        summary: 'End a planned quiet: what is still wrong is told at once',
        tags,
        params: z.strictObject({ id: z.string().min(1).max(64) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: quietId } = request.params
      return sendOutcome(reply, await monitor.submit({ type: 'quietEnded', act, quietId }))
    },
  )
}
