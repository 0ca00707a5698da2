import { z } from 'zod'
import { parseSettingsYaml, toSettingsYaml } from '../../codecs/settings-file.ts'
import { settingsSchema } from '../../core/model/settings.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse } from '../problem.ts'
import { sendFieldErrors, sendSettingsOutcome } from '../settings-outcome.ts'
import type { Routes } from './routes.ts'

const MOST_HISTORY = 50

/** A YAML body, marked so that it is not taken for JSON that happens to be one text. */
class YamlBody {
  readonly text: string
  constructor(text: string) {
    this.text = text
  }
}

/** The whole of what the owner decides, as JSON or as the settings file. */
export const settingsRoutes: Routes = async (app, { monitor, records, accounts, settingsChanges }) => {
  // Only these routes take YAML: the parser stays within this plugin.
  app.addContentTypeParser(
    ['application/yaml', 'application/x-yaml'],
    { parseAs: 'string' },
    (_, body, done) => done(null, new YamlBody(String(body))),
  )
  app.get(
    '/settings',
    {
      config: { permission: 'seeSettings' },
      schema: {
        operationId: 'readSettings',
        summary: 'The settings: JSON, or YAML when Accept names application/yaml',
        tags: ['settings'],
        response: { 200: settingsSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      if (!request.headers.accept?.includes('application/yaml')) return monitor.settings()
      return reply
        .type('application/yaml; charset=utf-8')
        .serializer((text: string) => text)
        .send(toSettingsYaml(monitor.settings()) as never)
    },
  )
  app.put(
    '/settings',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'replaceSettings',
        summary: 'Replace the settings as a whole: JSON, or the settings file as application/yaml',
        tags: ['settings'],
        // Checked below with all that they refer to; a first check here would report half of what is wrong.
        body: z.unknown().describe('Settings; GET /api/v1/settings gives their form'),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      let next = request.body
      if (next instanceof YamlBody) {
        const parsed = parseSettingsYaml(next.text)
        if (!parsed.ok) return sendFieldErrors(reply, parsed.errors)
        next = parsed.settings
      }
      return sendSettingsOutcome(reply, await settingsChanges.make(actOf(request, monitor), () => next))
    },
  )
  app.get(
    '/settings/history',
    {
      config: { permission: 'seeSettings' },
      schema: {
        operationId: 'listSettingsHistory',
        summary: `Earlier settings, newest first, at most ${MOST_HISTORY}`,
        tags: ['settings'],
        response: {
          200: z.object({
            history: z.array(
              z.object({
                atMs: z.int(),
                by: z.string().nullable(),
                via: z.string(),
                settings: settingsSchema,
              }),
            ),
          }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      history: records.settingsHistory(MOST_HISTORY).map(({ atMs, act, settings }) => ({
        atMs,
        by: nameOfActor(act.actorId, accounts),
        via: act.via,
        settings,
      })),
    }),
  )
}
