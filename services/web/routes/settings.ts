import { z } from 'zod'
import type { FieldError } from '../../codecs/problem-details.ts'
import { parseSettings } from '../../codecs/settings-check.ts'
import { parseSettingsYaml, toSettingsYaml } from '../../codecs/settings-file.ts'
import { settingsDifferences } from '../../core/advise/settings-words/settings-differences.ts'
import { settingsSchema, type Settings } from '../../core/model/settings.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse } from '../problem.ts'
import { sendFieldErrors, sendSettingsOutcome } from '../settings-outcome.ts'
import { settingsVersion } from '../settings-version.ts'
import type { Routes } from './routes.ts'

const MOST_HISTORY = 50
const tags = ['settings']
// Checked below with all that they refer to; a first check by a schema would report half of what is wrong.
const wholeSettings = z.unknown().describe('Settings; GET /api/v1/settings gives their form')
export const ifMatchSchema = z.object({
  'if-match': z.string().max(2000).optional().describe('ETag of the settings that the change was made from'),
})
export const differencesSchema = z.array(z.object({ path: z.string(), text: z.string() }))

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
        summary: 'The settings: JSON, or YAML when Accept names application/yaml; ETag names this version',
        tags,
        response: { 200: settingsSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const settings = monitor.settings()
      reply.header('etag', settingsVersion(settings))
      if (!request.headers.accept?.includes('application/yaml')) return settings
      return reply
        .type('application/yaml; charset=utf-8')
        .header('content-disposition', 'attachment; filename="nightcap-settings.yaml"')
        .serializer((text: string) => text)
        .send(toSettingsYaml(settings) as never)
    },
  )
  app.put(
    '/settings',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'replaceSettings',
        summary:
          'Replace the settings as a whole: JSON, or the settings file as application/yaml; with If-Match only if nobody else changed them',
        tags,
        headers: ifMatchSchema,
        querystring: z.strictObject({ why: z.string().max(2000).optional() }),
        body: wholeSettings,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const read = readBody(request.body)
      if (!read.ok) return sendFieldErrors(reply, read.errors)
      const notes = { ifMatch: request.headers['if-match'], why: request.query.why }
      const outcome = await settingsChanges.make(actOf(request, monitor), () => read.value, notes)
      return sendSettingsOutcome(reply, outcome)
    },
  )
  app.post(
    '/settings/preview',
    {
      config: { permission: 'changeSettings' },
      schema: {
        operationId: 'previewSettings',
        summary:
          'What would change, in words, if these settings replaced the present ones; nothing is changed',
        tags,
        body: wholeSettings,
        response: {
          200: z.object({
            /** For If-Match of the PUT that follows. */
            version: z.string(),
            differences: differencesSchema,
          }),
          default: problemResponse,
        },
      },
    },
    async (request, reply) => {
      const read = readBody(request.body)
      const checked = read.ok ? parseSettings(read.value) : read
      if (!checked.ok) return sendFieldErrors(reply, checked.errors)
      const present = monitor.settings()
      return {
        version: settingsVersion(present),
        differences: settingsDifferences(present, checked.settings),
      }
    },
  )
  app.get(
    '/settings/history',
    {
      config: { permission: 'seeSettings' },
      schema: {
        operationId: 'listSettingsHistory',
        summary: `Earlier settings, newest first, at most ${MOST_HISTORY}`,
        tags,
        response: {
          200: z.object({
            history: z.array(
              z.object({
                atMs: z.int(),
                by: z.string().nullable(),
                via: z.string(),
                why: z.string().nullable(),
                settings: settingsSchema,
              }),
            ),
          }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      history: records.settingsHistory(MOST_HISTORY).map(({ atMs, act, why, settings }) => ({
        atMs,
        by: nameOfActor(act.actorId, accounts),
        via: act.via,
        why: why ?? null,
        settings,
      })),
    }),
  )
}

type ReadBody =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly errors: readonly FieldError[] }

/** A body as settings that are yet to be checked; a file names the line of each fault. */
function readBody(body: unknown): ReadBody {
  if (!(body instanceof YamlBody)) return { ok: true, value: body }
  const parsed = parseSettingsYaml(body.text)
  return parsed.ok
    ? { ok: true, value: parsed.settings satisfies Settings }
    : { ok: false, errors: parsed.errors }
}
