import { z } from 'zod'
import { nameSchema } from '../../core/model/name.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['telling']
const tellingViewSchema = z.object({
  publicUrl: z.string().nullable(),
  vapidPublicKey: z.string().nullable(),
  mail: z.object({ configured: z.boolean(), passwordSet: z.boolean() }),
  contacts: z.array(
    z.object({
      id: z.string(),
      title: z.string(),
      devices: z.array(
        z.object({ id: z.string(), title: z.string(), createdMs: z.int(), lastOkMs: z.int().nullable() }),
      ),
      replyPathProvenMs: z.int().nullable(),
      webhookSecretSet: z.boolean(),
    }),
  ),
  problems: z.array(z.string()),
})

/** How notices leave the house, and the secrets for it. */
export const tellingRoutes: Routes = async (app, { monitor, telling }) => {
  const view = (): z.infer<typeof tellingViewSchema> => {
    const { contacts, mail } = monitor.settings()
    const key = telling.pushKey()
    const proofs = new Map(monitor.replyPaths().map((p) => [p.contactId, p.provenMs]))
    const devices = telling.devices()
    return {
      publicUrl: telling.publicUrl(),
      vapidPublicKey: key.ok ? key.value : null,
      mail: { configured: mail !== undefined, passwordSet: telling.mailPasswordSet() },
      contacts: contacts.map(({ id, title, personId }) => ({
        id,
        title,
        devices: devices
          .filter((d) => d.personId === personId)
          .map((d) => ({ id: d.id, title: d.title, createdMs: d.createdMs, lastOkMs: d.lastOkMs })),
        replyPathProvenMs: proofs.get(id) ?? null,
        webhookSecretSet: telling.webhookSecretSet(id),
      })),
      problems: [...telling.problems()],
    }
  }
  app.get(
    '/telling',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'readTelling',
        summary: 'How notices leave the house, and what keeps them from it',
        tags,
        response: { 200: tellingViewSchema, default: problemResponse },
      },
    },
    async () => view(),
  )
  app.put(
    '/telling/mail-password',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'setMailPassword',
        summary: 'Set the password for the mail server; it is kept sealed and never shown',
        tags,
        body: z.strictObject({ password: z.string().min(1).max(500) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const done = telling.setMailPassword(request.body.password)
      if (done.ok) return reply.code(204).send()
      return sendProblem(reply, { status: 503, title: 'It could not be sealed', detail: done.reason })
    },
  )
  app.post(
    '/telling/push-key',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'renewPushKey',
        summary: 'Make new push keys when the old are lost: every device has to allow notices again',
        tags,
        response: { 200: z.object({ key: z.string() }), default: problemResponse },
      },
    },
    async (_, reply) => {
      const key = telling.renewPushKeys()
      if (key.ok) return { key: key.value }
      return sendProblem(reply, { status: 503, title: 'It could not be sealed', detail: key.reason })
    },
  )
  app.post(
    '/contacts/:id/webhook-secret',
    {
      config: { permission: 'manageTelling' },
      schema: {
        operationId: 'makeWebhookSecret',
        summary: 'Make a new signing secret for this webhook, shown this once',
        tags,
        params: z.strictObject({ id: nameSchema }),
        response: { 200: z.object({ secret: z.string() }), default: problemResponse },
      },
    },
    async (request, reply) => {
      const { id } = request.params
      if (!monitor.settings().contacts.some((c) => c.id === id))
        return sendNotFound(reply, `id: there is no contact ${id}; add it under Setup`)
      const secret = telling.makeWebhookSecret(id)
      if (secret.ok) return { secret: secret.value }
      return sendProblem(reply, { status: 503, title: 'It could not be sealed', detail: secret.reason })
    },
  )
}
