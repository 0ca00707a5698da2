import { z } from 'zod'
import { createId, createSecret, sha256 } from '../auth/secrets.ts'
import { noContent, problemResponse, sendNotFound } from '../problem.ts'
import type { Routes } from './routes.ts'

const titleSchema = z
  .string()
  .trim()
  .min(1, { error: 'give a title of 1 to 80 characters' })
  .max(80, { error: 'give a title of 1 to 80 characters' })
const programSchema = z.object({ id: z.string(), title: z.string() })

/** Programs and their bearer tokens. A token is in one answer, and then nowhere. */
export const programRoutes: Routes = async (app, { accounts, nowMs, streams }) => {
  const present = () => accounts.credentials('program').filter((c) => c.revokedMs === null)
  const config = { permission: 'managePrograms' } as const
  const tags = ['programs']
  app.get(
    '/programs',
    {
      config,
      schema: {
        operationId: 'listPrograms',
        summary: 'Programs with a token that is good',
        tags,
        response: { 200: z.object({ programs: z.array(programSchema) }), default: problemResponse },
      },
    },
    async () => ({ programs: present().map(({ id, title }) => ({ id, title })) }),
  )
  app.post(
    '/programs',
    {
      config,
      schema: {
        operationId: 'addProgram',
        summary: 'Add a program; its bearer token is in this answer alone',
        tags,
        body: z.strictObject({ title: titleSchema }),
        response: { 201: programSchema.extend({ secret: z.string() }), default: problemResponse },
      },
    },
    async ({ body: { title } }, reply) => {
      const id = createId('program')
      const secret = createSecret()
      accounts.putCredential({ id, kind: 'program', title, secretHash: sha256(secret), createdMs: nowMs() })
      return reply.code(201).send({ id, title, secret })
    },
  )
  app.delete(
    '/programs/:id',
    {
      config,
      schema: {
        operationId: 'removeProgram',
        summary: 'Revoke the token of a program',
        tags,
        params: z.strictObject({ id: z.string().min(1).max(64) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      if (!present().some((c) => c.id === id)) {
        return sendNotFound(reply, `id: there is no program ${id}; reload the list`)
      }
      accounts.revokeCredential('program', id, nowMs())
      streams.recheck()
      return reply.code(204).send()
    },
  )
}
