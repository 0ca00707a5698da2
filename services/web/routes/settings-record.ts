import { z } from 'zod'
import type { InputOf } from '../../core/model/input.ts'
import { limitChoice } from '../../core/study/rerun/limit-choices.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse } from '../problem.ts'
import { sendSettingsOutcome } from '../settings-outcome.ts'
import { limitOrigins, recordedChanges } from '../settings-record.ts'
import type { Routes } from './routes.ts'
import { differencesSchema, ifMatchSchema } from './settings.ts'

const tags = ['settings']
/** Changes of settings are few; an owner who changed them a thousand times has a shop that long. */
const MOST_CHANGES = 100
const WHOLE_PAST = 500
const stampSchema = z.object({
  atMs: z.int(),
  /** null: somebody whose name was erased, or the monitor itself. */
  by: z.string().nullable(),
  via: z.string(),
  why: z.string().nullable(),
})

/** Who changed what, when and why; and where each limit comes from. */
export const settingsRecordRoutes: Routes = async (app, { monitor, records, accounts, settingsChanges }) => {
  const stampOf = ({ atMs, act, why }: InputOf<'settings'>): z.infer<typeof stampSchema> => ({
    atMs,
    by: nameOfActor(act.actorId, accounts),
    via: act.via,
    why: why ?? null,
  })
  app.get(
    '/settings/changes',
    {
      config: { permission: 'seeSettings' },
      schema: {
        operationId: 'listSettingsChanges',
        summary: `Who changed what, when and why, in words; newest first, at most ${MOST_CHANGES}`,
        tags,
        response: {
          200: z.object({
            changes: z.array(stampSchema.extend({ seq: z.int(), differences: differencesSchema })),
          }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      changes: recordedChanges(records.settingsHistory(MOST_CHANGES + 1), MOST_CHANGES).map(
        ({ change, differences }) => ({ seq: change.seq, ...stampOf(change), differences: [...differences] }),
      ),
    }),
  )
  app.post(
    '/settings/changes',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'changeSettings',
        summary: 'Replace the settings as a whole, with a reason for the record',
        tags,
        headers: ifMatchSchema,
        body: z.strictObject({
          settings: z.unknown().describe('Settings; GET /api/v1/settings gives their form'),
          why: z.string().trim().max(2000).default(''),
        }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { settings, why } = request.body
      const notes = { ifMatch: request.headers['if-match'], why }
      const outcome = await settingsChanges.make(actOf(request, monitor), () => settings, notes)
      return sendSettingsOutcome(reply, outcome)
    },
  )
  app.get(
    '/settings/limits',
    {
      config: { permission: 'seeSettings' },
      schema: {
        operationId: 'listLimits',
        summary: 'Every limit with its meaning, its unit, and where its value comes from',
        tags,
        response: {
          200: z.object({
            limits: z.array(
              z.object({
                path: z.string(),
                group: z.string(),
                label: z.string(),
                meaning: z.string(),
                unit: z.string(),
                factor: z.number(),
                value: z.number(),
                startingValue: z.number().nullable(),
                /** null: a starting value of ours that was never changed. */
                set: stampSchema.nullable(),
                /** A re-run can try another value of it on the past. */
                isTriable: z.boolean(),
              }),
            ),
          }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      limits: limitOrigins(records.settingsHistory(WHOLE_PAST)).map(
        ({ words, value, startingValue, setBy }) => ({
          ...words,
          value,
          startingValue,
          set: setBy && stampOf(setBy),
          isTriable: limitChoice(words.path, monitor.settings()) !== null,
        }),
      ),
    }),
  )
}
