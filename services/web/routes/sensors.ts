import { z } from 'zod'
import { may } from '../../core/model/permissions.ts'
import { sensorBindingSchema } from '../../core/model/settings.ts'
import { sensorIdSchema } from '../../core/model/subject.ts'
import { sensorsViewSchema } from '../../core/model/views.ts'
import { actOf, callerOfGuarded } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound } from '../problem.ts'
import { sendSettingsOutcome } from '../settings-outcome.ts'
import type { Routes } from './routes.ts'

/** Sensors: what was heard, and what it belongs to. */
export const sensorRoutes: Routes = async (app, { monitor, settingsChanges }) => {
  app.get(
    '/sensors',
    {
      config: { permission: 'seeSensors' },
      schema: {
        operationId: 'listSensors',
        summary:
          'Sensors, nodes, and what could not be used; the last is empty without the permission seeQuarantine',
        tags: ['sensors'],
        response: { 200: sensorsViewSchema, default: problemResponse },
      },
    },
    async (request) => {
      const view = monitor.sensors()
      return may(callerOfGuarded(request).role, 'seeQuarantine') ? view : { ...view, quarantine: [] }
    },
  )
  app.post(
    '/sensors/assignment',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'assignSensor',
        summary: 'Say what a sensor measures; replaces what was said of it before',
        tags: ['sensors'],
        body: sensorBindingSchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const binding = request.body
      const outcome = await settingsChanges.make(actOf(request, monitor), (settings) => {
        const known = settings.sensors.some((s) => s.id === binding.id)
        const sensors = known
          ? settings.sensors.map((s) => (s.id === binding.id ? binding : s))
          : [...settings.sensors, binding]
        return { ...settings, sensors }
      })
      return sendSettingsOutcome(reply, outcome)
    },
  )
  app.delete(
    '/sensors/assignment/:sensorId',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'unassignSensor',
        summary: 'Forget what a sensor measures; its readings stay',
        tags: ['sensors'],
        params: z.strictObject({ sensorId: sensorIdSchema }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { sensorId } = request.params
      if (!monitor.settings().sensors.some((s) => s.id === sensorId)) {
        return sendNotFound(
          reply,
          `sensorId: ${sensorId} is not assigned; see /api/v1/sensors for those that are`,
        )
      }
      const outcome = await settingsChanges.make(actOf(request, monitor), (settings) => ({
        ...settings,
        sensors: settings.sensors.filter((s) => s.id !== sensorId),
      }))
      return sendSettingsOutcome(reply, outcome)
    },
  )
}
