import { z } from 'zod'
import { sensorIdSchema } from '../../core/model/subject.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import { sendSettingsOutcome } from '../settings-outcome.ts'
import type { Routes } from './routes.ts'

const bodySchema = z.strictObject({
  /** The sensor that is taken out. */
  oldId: sensorIdSchema,
  /** The one in its place; it must have been heard, and measure the same. */
  newId: sensorIdSchema,
})

/** A broken sensor and the one in its place: one change, so that its subject is never without a sensor in between. */
export const sensorReplacementRoutes: Routes = async (app, { monitor, settingsChanges }) => {
  app.post(
    '/sensors/replacement',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'replaceSensor',
        summary:
          'Give what was said of one sensor to another that was heard; a calibration is not taken over',
        tags: ['sensors'],
        body: bodySchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { oldId, newId } = request.body
      const old = monitor.settings().sensors.find((s) => s.id === oldId)
      if (!old) return sendNotFound(reply, `oldId: ${oldId} is not assigned; reload the list`)
      const heard = monitor.sensors().sensors.find((s) => s.id === newId)
      if (!heard) return sendNotFound(reply, `newId: ${newId} was not heard yet; start its node first`)
      const fault = faultOf(heard, old)
      if (fault) return sendProblem(reply, { status: 422, title: 'It cannot take its place', detail: fault })
      const outcome = await settingsChanges.make(
        actOf(request, monitor),
        (settings) => ({
          ...settings,
          sensors: settings.sensors.map((s) =>
            s.id === oldId ? { ...s, id: newId, correction: undefined } : s,
          ),
        }),
        { why: `${newId} took the place of ${oldId}.` },
      )
      return sendSettingsOutcome(reply, outcome)
    },
  )
}

function faultOf(
  heard: { id: string; quantity: string; assignedTo: unknown },
  old: { id: string; quantity: string; foreign?: unknown },
): string | null {
  if (heard.assignedTo !== null) return `newId: ${heard.id} is assigned already: unassign it first`
  if (old.foreign) return `oldId: ${old.id} is read from a topic: change its topic instead`
  if (heard.quantity === old.quantity) return null
  return `newId: ${heard.id} measures ${heard.quantity} and ${old.id} ${old.quantity}: choose one of the same`
}
