import type { FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import { may, PERMISSIONS, roleSchema, type Permission, type Role } from '../../core/model/permissions.ts'
import type { AccountStore, Person } from '../../core/model/ports/accounts.ts'
import { createId } from '../auth/secrets.ts'
import { SESSION_COOKIE, SESSION_LIFE_MS } from '../auth/session.ts'
import { newPasswordSchema, personNameSchema } from '../person-fields.ts'
import { noContent, problemResponse, sendProblem } from '../problem.ts'
import type { WebParts } from '../web-parts.ts'
import type { Routes } from './routes.ts'

const ALL_PERMISSIONS = Object.keys(PERMISSIONS) as Permission[]

const signedInSchema = z.object({
  signedIn: z.literal(true),
  person: z.object({ id: z.string(), name: z.string(), role: roleSchema }),
  permissions: z.array(z.enum(ALL_PERMISSIONS)),
})
const signedOutSchema = z.object({ signedIn: z.literal(false), firstOwnerNeeded: z.boolean() })
const codeSchema = z.string().min(1).max(100)

/** Tries an address has in a minute, whatever names it gives. Starting value. */
const rateLimit = { max: 20, timeWindow: 60_000 }
const openTo = { permission: 'anyone', rateLimit } as const

/** Signing in and out. */
export const sessionRoutes: Routes = async (app, parts) => {
  app.get(
    '/session',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'readSession',
        summary: 'Who is signed in, and what they may do',
        tags: ['session'],
        response: { 200: z.union([signedInSchema, signedOutSchema]), default: problemResponse },
      },
    },
    async ({ caller }) =>
      caller ? toSignedIn(caller) : { signedIn: false as const, firstOwnerNeeded: !hasOwner(parts.accounts) },
  )

  app.post(
    '/session',
    {
      config: openTo,
      schema: {
        operationId: 'signIn',
        summary: 'Sign in with name and password',
        tags: ['session'],
        body: z.strictObject({ name: z.string().min(1).max(200), password: z.string().min(1).max(200) }),
        response: { 200: signedInSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const name = request.body.name.trim().normalize('NFC')
      const waitMs = parts.backOff.waitMs(request.ip, name)
      if (waitMs > 0) return sendWait(reply, waitMs)
      // Counted before the slow check, so that many tries at once count as many.
      parts.backOff.failed(request.ip, name)
      const person = parts.accounts.personByName(name)
      const stored = person?.removedMs === null ? parts.accounts.passwordHash(person.id) : null
      const matches = await parts.passwords.verify(stored, request.body.password)
      if (!matches || !person) {
        const detail = 'name or password is wrong: check both, or ask an owner for a new password'
        return sendProblem(reply, { status: 401, title: 'Not signed in', detail })
      }
      parts.backOff.succeeded(request.ip, name)
      return startSession({ request, reply, person }, parts)
    },
  )

  app.post(
    '/session/first-owner',
    {
      config: openTo,
      schema: {
        operationId: 'createFirstOwner',
        summary: 'Become the first owner, with the code that the monitor printed',
        tags: ['session'],
        body: z.strictObject({ code: codeSchema, name: personNameSchema, password: newPasswordSchema }),
        response: { 201: signedInSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { code, name, password } = request.body
      if (hasOwner(parts.accounts)) return sendOwnerExists(reply)
      const passwordHash = await parts.passwords.hash(password)
      // Nothing waits from here on: two requests with one code cannot both come through.
      if (hasOwner(parts.accounts)) return sendOwnerExists(reply)
      if (parts.accounts.personByName(name)) {
        const detail = `name: ${name} is taken; give another`
        return sendProblem(reply, { status: 409, title: 'The name is taken', detail })
      }
      if (!parts.signInCodes.take('firstOwner', code)) return sendBadCode(reply)
      const person = { id: createId('person'), name, role: 'owner' as const, createdMs: parts.nowMs() }
      parts.accounts.addPerson({ ...person, passwordHash })
      reply.code(201)
      return startSession({ request, reply, person: { ...person, removedMs: null } }, parts)
    },
  )

  app.post(
    '/session/link',
    {
      config: openTo,
      schema: {
        operationId: 'signInByLink',
        summary: 'Sign in with a one-time link',
        tags: ['session'],
        body: z.strictObject({ code: codeSchema }),
        response: { 200: signedInSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const taken = parts.signInCodes.take('signIn', request.body.code)
      const person = taken?.personId ? parts.accounts.person(taken.personId) : null
      if (person?.removedMs !== null) return sendBadCode(reply)
      return startSession({ request, reply, person }, parts)
    },
  )

  app.delete(
    '/session',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'signOut',
        summary: 'Sign out here',
        tags: ['session'],
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ caller }, reply) => {
      if (caller?.sessionHash) parts.sessions.end(caller.sessionHash)
      return sendSignedOut(reply, parts)
    },
  )

  app.delete(
    '/sessions',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'signOutEverywhere',
        summary: 'Sign out on every screen',
        tags: ['session'],
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ caller }, reply) => {
      if (caller?.kind === 'person') parts.sessions.endAllOf(caller.id)
      return sendSignedOut(reply, parts)
    },
  )
}

function hasOwner(accounts: Pick<AccountStore, 'people'>): boolean {
  return accounts.people().some((p) => p.role === 'owner' && p.removedMs === null)
}

function toSignedIn({
  id,
  name,
  role,
}: {
  id: string
  name: string
  role: Role
}): z.infer<typeof signedInSchema> {
  const permissions = ALL_PERMISSIONS.filter((permission) => may(role, permission))
  return { signedIn: true, person: { id, name, role }, permissions }
}

/** A new token at every sign-in; the session that the browser came with ends. */
function startSession(
  { request, reply, person }: { request: FastifyRequest; reply: FastifyReply; person: Person },
  { sessions, config, streams }: WebParts,
): z.infer<typeof signedInSchema> {
  if (request.caller?.sessionHash) {
    sessions.end(request.caller.sessionHash)
    streams.recheck()
  }
  reply.setCookie(SESSION_COOKIE, sessions.open(person.id), {
    ...cookieOptions(config),
    maxAge: SESSION_LIFE_MS / 1000,
  })
  return toSignedIn(person)
}

function cookieOptions({ secureCookies }: WebParts['config']) {
  return { path: '/', httpOnly: true, sameSite: 'strict', secure: secureCookies } as const
}

function sendSignedOut(reply: FastifyReply, { streams, config }: WebParts): FastifyReply {
  streams.recheck()
  return reply.clearCookie(SESSION_COOKIE, cookieOptions(config)).code(204).send()
}

function sendWait(reply: FastifyReply, waitMs: number): FastifyReply {
  const seconds = Math.ceil(waitMs / 1000)
  const detail = `too many wrong tries: try again in ${seconds} s`
  return sendProblem(reply.header('retry-after', String(seconds)), { status: 429, title: 'Wait', detail })
}

function sendBadCode(reply: FastifyReply): FastifyReply {
  const detail = 'code: is wrong, used or older than 15 minutes; ask the monitor for a new one'
  const errors = [{ pointer: '/code', detail: 'is wrong, used or older than 15 minutes' }]
  return sendProblem(reply, { status: 401, title: 'The code does not work', detail, errors })
}

function sendOwnerExists(reply: FastifyReply): FastifyReply {
  const detail = 'there is an owner already: sign in, or ask the owner to add you under Setup'
  return sendProblem(reply, { status: 409, title: 'Too late for that', detail })
}
