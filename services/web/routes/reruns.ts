import { z } from 'zod'
import {
  limitChangeSchema,
  limitChoiceSchema,
  rerunOrderSchema,
  rerunViewSchema,
} from '../../core/model/rerun.ts'
import { withLimit } from '../../core/study/rerun/limit-choices.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome, sendProblem } from '../problem.ts'
import { sendSettingsOutcome } from '../settings-outcome.ts'
import { settingsVersion } from '../settings-version.ts'
import type { Routes } from './routes.ts'

const tags = ['reruns']
const params = z.strictObject({ id: z.string().min(1).max(64) })
const config = { permission: 'runReruns' } as const

/** The stored past under other limits: what would have been told, and what of it would have warned of a clog. */
export const rerunRoutes: Routes = async (app, { reruns, monitor, settingsChanges }) => {
  app.get(
    '/reruns/limits',
    {
      config,
      schema: {
        operationId: 'listRerunLimits',
        summary: 'What a re-run may try, with its value today',
        tags,
        response: { 200: z.object({ limits: z.array(limitChoiceSchema) }), default: problemResponse },
      },
    },
    async () => ({ limits: [...reruns.choices()] }),
  )
  app.get(
    '/reruns/newest',
    {
      config,
      schema: {
        operationId: 'readNewestRerun',
        summary: 'The newest re-run since the monitor was started, or null',
        tags,
        response: { 200: z.object({ rerun: rerunViewSchema.nullable() }), default: problemResponse },
      },
    },
    async () => ({ rerun: reruns.newest() }),
  )
  app.post(
    '/reruns',
    {
      config,
      schema: {
        operationId: 'startRerun',
        summary: 'Send the stored past through the kernel with one limit changed; one at a time',
        tags,
        body: rerunOrderSchema,
        response: { 202: z.object({ id: z.string() }), default: problemResponse },
      },
    },
    async (request, reply) => {
      const started = reruns.start(request.body)
      return started.ok ? reply.status(202).send({ id: started.id }) : sendOutcome(reply, started)
    },
  )
  app.get(
    '/reruns/:id',
    {
      config,
      schema: {
        operationId: 'readRerun',
        summary: 'How far a re-run is, and what of it is whole',
        tags,
        params,
        response: { 200: rerunViewSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const view = reruns.look(request.params.id)
      return view ?? sendProblem(reply, { status: 404, title: 'There is no such re-run', detail: GONE })
    },
  )
  app.delete(
    '/reruns/:id',
    {
      config,
      schema: {
        operationId: 'stopRerun',
        summary: 'Stop a re-run; what of it is whole stays',
        tags,
        params,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) =>
      reruns.stop(request.params.id)
        ? reply.status(204).send()
        : sendOutcome(reply, { ok: false, code: 'conflict', reason: 'this re-run does not run any more' }),
  )
  app.post(
    '/reruns/:id/use',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'useRerun',
        summary:
          'Write the tried value, or another of the curve, into the settings, with the figures as its reason',
        tags,
        params,
        body: z.strictObject({ value: limitChangeSchema.shape.value.optional() }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      // The settings that this is judged by: a change that is under way already is seen by its version.
      const ifMatch = settingsVersion(monitor.settings())
      const use = reruns.use(request.params.id, request.body.value ?? null)
      if (!use.ok) return sendOutcome(reply, use)
      const { limit, value, why } = use
      const outcome = await settingsChanges.make(
        actOf(request, monitor),
        (settings) => ({ ...settings, limits: withLimit(settings.limits, { limit, value }) }),
        { why, ifMatch },
      )
      return sendSettingsOutcome(reply, outcome)
    },
  )
}

const GONE = 'Re-runs are kept until the next one begins or the monitor is started anew: start it again'
