import { z } from 'zod'
import { learnedKey, learnedSchema } from '../../core/model/learned.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['learned']

/** What the shop's own past taught: what is in force, and what moved so far that a person must accept it. */
export const learnedRoutes: Routes = async (app, { monitor }) => {
  app.get(
    '/learned',
    {
      config: { permission: 'seeLearned' },
      schema: {
        operationId: 'listLearned',
        summary: 'What was learned from the past: in force, and waiting to be accepted',
        tags,
        response: {
          200: z.object({ inForce: z.array(learnedSchema), waiting: z.array(learnedSchema) }),
          default: problemResponse,
        },
      },
    },
    async () => {
      const { inForce, waiting } = monitor.learned()
      return { inForce: [...inForce], waiting: [...waiting] }
    },
  )
  app.post(
    '/learned/:key/acceptance',
    {
      config: { permission: 'acceptLearned' },
      schema: {
        operationId: 'acceptLearned',
        summary: 'Accept a learned value that waits; its key is {kind}|{subject id}',
        tags,
        params: z.strictObject({ key: z.string().min(1).max(200) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const learned = monitor.learned().waiting.find((l) => learnedKey(l) === request.params.key)
      if (!learned) return sendNotFound(reply, 'no learned value of this key waits: reload the list')
      const act = actOf(request, monitor)
      return sendOutcome(reply, await monitor.submit({ type: 'learned', learned, waiting: false, act }))
    },
  )
}
