import { z } from 'zod'
import { closingViewSchema } from '../../core/model/closing.ts'
import { nameSchema } from '../../core/model/name.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['closing']
const response = { 204: noContent, default: problemResponse }
const answerSchema = closingViewSchema.extend({
  /** Names of those who ticked, began or finished, by actor id. */
  names: z.record(z.string(), z.string()),
})

/** The closing list: one for the shop, a day. */
export const closingRoutes: Routes = async (app, { monitor, accounts }) => {
  app.get(
    '/closing',
    {
      config: { permission: 'seeTasks' },
      schema: {
        operationId: 'readClosing',
        summary: 'The closing list, what sensors confirm of it, and whether the shop is ready for the night',
        tags,
        response: { 200: answerSchema, default: problemResponse },
      },
    },
    async () => {
      const view = monitor.closing()
      const ids = [
        view.begun?.actorId,
        view.finished?.actorId,
        ...view.groups.flatMap((g) => g.steps.map((s) => s.ticked?.actorId)),
      ].filter((id) => id !== undefined)
      const names = Object.fromEntries(
        ids.flatMap((id) => {
          const name = nameOfActor(id, accounts)
          return name === null ? [] : [[id, name]]
        }),
      )
      return { ...view, names }
    },
  )
  app.post(
    '/closing/begin',
    {
      config: { permission: 'doClosing' },
      schema: { operationId: 'beginClosing', summary: 'Say that you close the shop', tags, response },
    },
    async (request, reply) =>
      sendOutcome(reply, await monitor.submit({ type: 'closingBegun', act: actOf(request, monitor) })),
  )
  app.post(
    '/closing/steps/:id',
    {
      config: { permission: 'doClosing' },
      schema: {
        operationId: 'tickClosingStep',
        summary: 'Say that a step is done, or take that back',
        tags,
        params: z.strictObject({ id: nameSchema }),
        body: z.strictObject({ machineId: nameSchema.nullable(), done: z.boolean() }),
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: stepId } = request.params
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'closingStepTicked', act, stepId, ...request.body }),
      )
    },
  )
  app.post(
    '/closing/finish',
    {
      config: { permission: 'doClosing' },
      schema: {
        operationId: 'finishClosing',
        summary: 'Say that you went through the list, ready or not',
        tags,
        response,
      },
    },
    async (request, reply) =>
      sendOutcome(reply, await monitor.submit({ type: 'closingFinished', act: actOf(request, monitor) })),
  )
}
