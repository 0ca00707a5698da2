import { z } from 'zod'
import { alarmSchema } from '../../core/model/alarm.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

/** Open alarms, and "I'm on it". */
export const alarmRoutes: Routes = async (app, { monitor, records }) => {
  app.get(
    '/alarms',
    {
      config: { permission: 'seeBoard' },
      schema: {
        operationId: 'listAlarms',
        summary: 'Alarms that are not normal, newest first',
        tags: ['alarms'],
        response: { 200: z.object({ alarms: z.array(alarmSchema) }), default: problemResponse },
      },
    },
    async () => ({ alarms: [...records.openAlarms()] }),
  )
  app.post(
    '/alarms/:id/acknowledgement',
    {
      config: { permission: 'acknowledgeAlarms' },
      schema: {
        operationId: 'acknowledgeAlarm',
        summary: 'Say that you are on it',
        tags: ['alarms'],
        params: z.strictObject({ id: z.string().min(1).max(300) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'alarmAcknowledged', act, alarmId: request.params.id }),
      )
    },
  )
}
