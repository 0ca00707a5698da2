import type { FastifyReply } from 'fastify'
import { z } from 'zod'
import { roleSchema } from '../../core/model/permissions.ts'
import { createId, createSecret } from '../auth/secrets.ts'
import { newPasswordSchema, personNameSchema } from '../person-fields.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const personRoleSchema = roleSchema.exclude(['program', 'node'])
const signInLinkSchema = z.object({
  /** What follows the address of the board. The code stands in its fragment, which browsers send to nobody. */
  path: z.string(),
  /** How long it works, in ms from now. */
  leftMs: z.int(),
})
const personSchema = z.object({ id: z.string(), name: z.string(), role: personRoleSchema })

/** Who may come in. */
export const peopleRoutes: Routes = async (app, { accounts, passwords, nowMs, streams, signInCodes }) => {
  const present = () => accounts.people().filter((p) => p.removedMs === null)
  const config = { permission: 'managePeople' } as const
  const tags = ['people']
  const params = z.strictObject({ id: z.string().min(1).max(64) })
  const isLastOwner = (id: string) => {
    const owners = present().filter((p) => p.role === 'owner')
    return owners.length === 1 && owners[0]?.id === id
  }
  app.get(
    '/people',
    {
      config,
      schema: {
        operationId: 'listPeople',
        summary: 'Everyone who may sign in',
        tags,
        response: { 200: z.object({ people: z.array(personSchema) }), default: problemResponse },
      },
    },
    async () => ({ people: present().map(({ id, name, role }) => ({ id, name, role })) }),
  )
  app.post(
    '/people',
    {
      config,
      schema: {
        operationId: 'addPerson',
        summary: 'Add a person, with a first password or with none: they then come in by a code to scan',
        tags,
        body: z.strictObject({
          name: personNameSchema,
          role: personRoleSchema,
          password: newPasswordSchema.optional(),
        }),
        response: { 201: personSchema, default: problemResponse },
      },
    },
    async ({ body: { name, role, password } }, reply) => {
      // Without one, a password that nobody knows: there is then no way in by name.
      const passwordHash = await passwords.hash(password ?? createSecret())
      if (accounts.personByName(name)) {
        const detail = `name: ${name} is taken; give another`
        const errors = [{ pointer: '/name', detail: 'is taken; give another' }]
        return sendProblem(reply, { status: 409, title: 'The name is taken', detail, errors })
      }
      const person = { id: createId('person'), name, role }
      accounts.addPerson({ ...person, createdMs: nowMs(), passwordHash })
      return reply.code(201).send(person)
    },
  )
  app.delete(
    '/people/:id',
    {
      config,
      schema: {
        operationId: 'removePerson',
        summary: 'Remove a person: name, password and sessions go, what they did stays',
        tags,
        params,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      const person = present().find((p) => p.id === id)
      if (!person) return sendNobody(reply, id)
      if (isLastOwner(id)) return sendLastOwner(reply)
      accounts.removePerson(id, nowMs())
      streams.recheck()
      return reply.code(204).send()
    },
  )
  app.put(
    '/people/:id/role',
    {
      config,
      schema: {
        operationId: 'changeRole',
        summary: 'Give a person another role, from now on',
        tags,
        params,
        body: z.strictObject({ role: personRoleSchema }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id }, body: { role } }, reply) => {
      if (!present().some((p) => p.id === id)) return sendNobody(reply, id)
      if (role !== 'owner' && isLastOwner(id)) return sendLastOwner(reply)
      accounts.setRole(id, role)
      streams.recheck()
      return reply.code(204).send()
    },
  )
  app.post(
    '/people/:id/sign-in-link',
    {
      config,
      schema: {
        operationId: 'makeSignInLink',
        summary: 'A link that signs this person in once, within 15 minutes; an earlier one stops working',
        tags,
        params,
        response: { 201: signInLinkSchema, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      if (!present().some((p) => p.id === id)) return sendNobody(reply, id)
      const { path, expiresMs } = signInCodes.issueSignInLink(id)
      return reply.code(201).send({ path, leftMs: expiresMs - nowMs() })
    },
  )
  app.get(
    '/people/:id/sign-in-link',
    {
      config,
      schema: {
        operationId: 'readSignInLink',
        summary: 'Does a link of this person still wait to be used?',
        tags,
        params,
        response: { 200: z.object({ waiting: z.boolean() }), default: problemResponse },
      },
    },
    async ({ params: { id } }) => ({ waiting: accounts.hasSignInCode(id, nowMs()) }),
  )
}

function sendNobody(reply: FastifyReply, id: string): FastifyReply {
  return sendNotFound(reply, `id: there is no person ${id}; reload the list`)
}

function sendLastOwner(reply: FastifyReply): FastifyReply {
  const detail = 'this is the last owner: make someone else an owner first'
  return sendProblem(reply, { status: 409, title: 'A shop needs an owner', detail })
}
