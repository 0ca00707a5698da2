import { z } from 'zod'
import { roleSchema } from '../../core/model/permissions.ts'
import { createId } from '../auth/secrets.ts'
import { newPasswordSchema, personNameSchema } from '../person-fields.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const personRoleSchema = roleSchema.exclude(['program', 'node'])
const personSchema = z.object({ id: z.string(), name: z.string(), role: personRoleSchema })

/** Who may come in. */
export const peopleRoutes: Routes = async (app, { accounts, passwords, nowMs, streams }) => {
  const present = () => accounts.people().filter((p) => p.removedMs === null)
  const config = { permission: 'managePeople' } as const
  const tags = ['people']
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
        summary: 'Add a person with a first password',
        tags,
        body: z.strictObject({ name: personNameSchema, role: personRoleSchema, password: newPasswordSchema }),
        response: { 201: personSchema, default: problemResponse },
      },
    },
    async ({ body: { name, role, password } }, reply) => {
      const passwordHash = await passwords.hash(password)
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
        params: z.strictObject({ id: z.string().min(1).max(64) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      const person = present().find((p) => p.id === id)
      if (!person) return sendNotFound(reply, `id: there is no person ${id}; reload the list`)
      if (person.role === 'owner' && present().filter((p) => p.role === 'owner').length === 1) {
        const detail = 'this is the last owner: make someone else an owner first'
        return sendProblem(reply, { status: 409, title: 'A shop needs an owner', detail })
      }
      accounts.removePerson(id, nowMs())
      streams.recheck()
      return reply.code(204).send()
    },
  )
}
