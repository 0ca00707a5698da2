import { z } from 'zod'
import { CARES } from '../../core/model/act.ts'
import { nameSchema } from '../../core/model/name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const params = z.strictObject({ id: nameSchema })
const response = { 204: noContent, default: problemResponse }
const tags = ['machines']
const config = { permission: 'workOnMachines' } as const

/** What a person at a machine, or the program that runs it, says was done to it. */
export const machineRoutes: Routes = async (app, { monitor }) => {
  app.post(
    '/machines/:id/care',
    {
      config,
      schema: {
        operationId: 'logCare',
        summary: 'Log that ink was moved: printed, cleaned, partly cleaned, white stirred',
        tags,
        params,
        body: z.strictObject({
          care: z.enum(CARES),
          /** None named: all of the machine. */
          channelGroupIds: z.array(nameSchema).max(200).default([]),
        }),
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: machineId } = request.params
      return sendOutcome(reply, await monitor.submit({ type: 'careLogged', act, machineId, ...request.body }))
    },
  )
  app.post(
    '/machines/:id/cap',
    {
      config,
      schema: {
        operationId: 'sayCap',
        summary: 'Say whether the head is on its cap',
        tags,
        params,
        body: z.strictObject({ capped: z.boolean() }),
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: machineId } = request.params
      return sendOutcome(reply, await monitor.submit({ type: 'capSaid', act, machineId, ...request.body }))
    },
  )
  app.post(
    '/machines/:id/servicing',
    {
      config,
      schema: {
        operationId: 'sayServicing',
        summary: 'Say that you work on the machine, or that you are done and the head is capped',
        tags,
        params,
        body: z.strictObject({ servicing: z.boolean() }),
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: machineId } = request.params
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'servicingSaid', act, machineId, ...request.body }),
      )
    },
  )
  app.post(
    '/machines/:id/error-stop',
    {
      config,
      schema: {
        operationId: 'sayErrorStop',
        summary: 'Say that the machine stopped on an error, or that it runs again',
        tags,
        params,
        body: z.strictObject({ stopped: z.boolean() }),
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { id: machineId } = request.params
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'errorStopSaid', act, machineId, ...request.body }),
      )
    },
  )
}
