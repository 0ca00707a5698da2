import { z } from 'zod'
import { alarmMeasures, ASSESSED_MS } from '../../core/alarms/measures/alarm-measures.ts'
import { alarmMeasuresSchema } from '../../core/model/alarm-measures.ts'
import { alarmSchema, LONGEST_SHELF_MS, type Alarm } from '../../core/model/alarm.ts'
import type { AccountStore } from '../../core/model/ports/accounts.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['alarms']
const params = z.strictObject({ id: z.string().min(1).max(300) })
const alarmViewSchema = alarmSchema.extend({
  acknowledgedBy: z.string().nullable(),
  shelvedBy: z.string().nullable(),
})
const shelvingSchema = z
  .strictObject({
    minutes: z
      .int()
      .min(1)
      .max(LONGEST_SHELF_MS / 60_000)
      .optional(),
    untilMs: z.int().nonnegative().optional(),
    reason: z.string().trim().min(1, { error: 'say why, in a few words' }).max(300),
  })
  .refine(({ minutes, untilMs }) => (minutes === undefined) !== (untilMs === undefined), {
    error: 'give either minutes or untilMs: for how long it is set aside',
    path: ['minutes'],
  })

/** Alarms that are not normal, "I'm on it", the shelf, and how calm the alarms are as a whole. */
export const alarmRoutes: Routes = async (app, { monitor, records, accounts }) => {
  app.get(
    '/alarms',
    {
      config: { permission: 'seeBoard' },
      schema: {
        operationId: 'listAlarms',
        summary: 'Alarms that are not normal, newest first',
        tags,
        response: { 200: z.object({ alarms: z.array(alarmViewSchema) }), default: problemResponse },
      },
    },
    async () => ({ alarms: records.openAlarms().map((alarm) => alarmView(alarm, accounts)) }),
  )
  app.get(
    '/alarms/measures',
    {
      config: { permission: 'seeAlarmMeasures' },
      schema: {
        operationId: 'readAlarmMeasures',
        summary:
          'How calm the alarms were over the last 30 days, beside the targets of ISA-18.2 and IEC 62682',
        tags,
        response: { 200: alarmMeasuresSchema, default: problemResponse },
      },
    },
    async () => {
      const toMs = monitor.nowMs()
      const fromMs = Math.max(toMs - ASSESSED_MS, Math.min(records.recordBeginsMs() ?? toMs, toMs))
      const changes = records.alarmChanges({ fromMs, toMs: toMs + 1 })
      return alarmMeasures(changes, records.openAlarms(), { fromMs, toMs })
    },
  )
  app.post(
    '/alarms/:id/acknowledgement',
    {
      config: { permission: 'acknowledgeAlarms' },
      schema: {
        operationId: 'acknowledgeAlarm',
        summary: 'Say that you are on it, or of what is over that you saw it',
        tags,
        params,
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
  app.post(
    '/alarms/:id/shelving',
    {
      config: { permission: 'shelveAlarms' },
      schema: {
        operationId: 'shelveAlarm',
        summary:
          'Set an alarm aside for a time, at most 7 days, with a reason: nobody is told of it meanwhile',
        tags,
        params,
        body: shelvingSchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { minutes, untilMs = act.atMs + (minutes ?? 0) * 60_000, reason } = request.body
      const alarmId = request.params.id
      return sendOutcome(reply, await monitor.submit({ type: 'alarmShelved', act, alarmId, untilMs, reason }))
    },
  )
  app.delete(
    '/alarms/:id/shelving',
    {
      config: { permission: 'shelveAlarms' },
      schema: {
        operationId: 'unshelveAlarm',
        summary: 'Take an alarm off the shelf: what still holds is told anew',
        tags,
        params,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      return sendOutcome(
        reply,
        await monitor.submit({ type: 'alarmUnshelved', act, alarmId: request.params.id }),
      )
    },
  )
}

function alarmView(alarm: Alarm, accounts: AccountStore): z.infer<typeof alarmViewSchema> {
  const nameOf = (act: Alarm['acknowledged']): string | null => act && nameOfActor(act.actorId, accounts)
  return {
    ...alarm,
    acknowledgedBy: nameOf(alarm.acknowledged),
    shelvedBy: nameOf(alarm.shelved?.act ?? null),
  }
}
