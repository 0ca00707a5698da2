import { createHash } from 'node:crypto'
import { z } from 'zod'
import { callerOfGuarded } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const tags = ['devices']
const MOST_DEVICES = 20
const deviceViewSchema = z.object({
  id: z.string(),
  title: z.string(),
  createdMs: z.int(),
  lastOkMs: z.int().nullable(),
})
const octets = (length: number, what: string) =>
  z
    .string()
    .max(200)
    .refine((text) => /^[A-Za-z0-9_-]+=*$/.test(text) && Buffer.from(text, 'base64url').length === length, {
      error: `send ${what} as the browser gives it, ${length} octets as base64url`,
    })
/** A push subscription as browsers give it (W3C Push API, toJSON). */
const subscriptionSchema = z.strictObject({
  endpoint: z.url({ protocol: /^https$/, error: 'the push address must begin with https://' }).max(1000),
  expirationTime: z.number().nullable().optional(),
  keys: z.strictObject({ p256dh: octets(65, 'p256dh'), auth: octets(16, 'auth') }),
})

/** The devices on which whoever is signed in allowed notices. */
export const deviceRoutes: Routes = async (app, { monitor, telling }) => {
  const ofPerson = (personId: string) => telling.devices().filter((d) => d.personId === personId)
  app.get(
    '/devices',
    {
      config: { permission: 'useOwnDevice' },
      schema: {
        operationId: 'listOwnDevices',
        summary: 'Your own devices that take notices',
        tags,
        response: { 200: z.object({ devices: z.array(deviceViewSchema) }), default: problemResponse },
      },
    },
    async (request) => ({
      devices: ofPerson(callerOfGuarded(request).id).map((d) => ({
        id: d.id,
        title: d.title,
        createdMs: d.createdMs,
        lastOkMs: d.lastOkMs,
      })),
    }),
  )
  app.get(
    '/devices/push-key',
    {
      config: { permission: 'useOwnDevice' },
      schema: {
        operationId: 'readPushKey',
        summary: 'The key that a browser subscribes with',
        tags,
        response: { 200: z.object({ key: z.string() }), default: problemResponse },
      },
    },
    async (_, reply) => {
      const key = telling.pushKey()
      if (key.ok) return { key: key.value }
      return sendProblem(reply, { status: 503, title: 'Notices cannot be sent', detail: key.reason })
    },
  )
  app.post(
    '/devices',
    {
      config: { permission: 'useOwnDevice' },
      schema: {
        operationId: 'addOwnDevice',
        summary: 'Take notices on this device',
        tags,
        body: z.strictObject({
          title: z.string().trim().min(1, { error: 'give a name of 1 to 80 characters' }).max(80),
          subscription: subscriptionSchema,
        }),
        response: { 201: z.object({ id: z.string() }), default: problemResponse },
      },
    },
    async (request, reply) => {
      const { title, subscription } = request.body
      const personId = callerOfGuarded(request).id
      const { endpoint, keys } = subscription
      const others = ofPerson(personId).filter((d) => d.endpoint !== endpoint)
      if (others.length >= MOST_DEVICES) {
        const detail = `you have ${MOST_DEVICES} devices already: take one away first`
        return sendProblem(reply, { status: 409, title: 'Too many devices', detail })
      }
      // The same browser is the same device, whoever signs in on it.
      const id = `device-${createHash('sha256').update(endpoint).digest('hex').slice(0, 16)}`
      telling.putDevice({ id, personId, title, endpoint, ...keys, createdMs: monitor.nowMs() })
      return reply.code(201).send({ id })
    },
  )
  app.delete(
    '/devices/:id',
    {
      config: { permission: 'useOwnDevice' },
      schema: {
        operationId: 'removeOwnDevice',
        summary: 'Take no more notices on this device',
        tags,
        params: z.strictObject({ id: z.string().min(1).max(64) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { id } = request.params
      const own = ofPerson(callerOfGuarded(request).id).some((d) => d.id === id)
      if (!own) return sendNotFound(reply, 'id: you have no such device; reload the page')
      telling.removeDevice(id)
      return reply.code(204).send()
    },
  )
}
