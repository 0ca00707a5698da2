import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import type { Permission } from '../core/model/permissions.ts'
import type { GivenAnswer, KeyedRequest, SentOnceStore } from '../core/model/ports/sent-once.ts'
import { sha256 } from './auth/secrets.ts'
import { sendProblem } from './problem.ts'

/** How long an answer is remembered. */
export const ANSWER_KEPT_MS = 24 * 3_600_000

/** What people log and say. Routes that answer with a secret are left out: an answer is kept as it was given. */
const ACTS: readonly (Permission | 'anyone' | undefined)[] = [
  'signOffTasks',
  'acknowledgeAlarms',
  'logNozzleChecks',
  'writeLogbook',
  'workOnMachines',
  'shelveAlarms',
  'doClosing',
  'logDisposals',
  'planQuiet',
  'planTasks',
] satisfies Permission[]

type Place = Pick<KeyedRequest, 'callerId' | 'key'>

declare module 'fastify' {
  interface FastifyRequest {
    /** Set while a request with a key of its own is worked on. */
    sentOnce: Place | null
  }
}

/**
 * `Idempotency-Key` on what people log: a request that is sent again gets the answer of the first, for 24 hours and
 * for the same person. So a phone that lost the line in the middle may send again without anything being done twice.
 */
export function addSentOnce(
  app: FastifyInstance,
  parts: { store: SentOnceStore; nowMs: () => number },
): void {
  const underWay = new Set<string>()
  app.decorateRequest('sentOnce', null)
  app.addHook('preHandler', async (request, reply) => {
    const key = request.headers['idempotency-key']
    if (key === undefined || request.method !== 'POST' || !request.caller) return undefined
    return begin({ request, reply, key: String(key), callerId: request.caller.id }, parts, underWay)
  })
  app.addHook('onSend', async (request, reply, payload) => {
    if (!request.sentOnce) return
    const place = request.sentOnce
    request.sentOnce = null
    underWay.delete(nameOf(place))
    const answer = answerOf(reply, payload)
    // What the monitor could not do is not done: it may be tried again.
    if (answer.status >= 500) parts.store.forget(place)
    else parts.store.settle(place, answer)
  })
}

interface Arrived {
  readonly request: FastifyRequest
  readonly reply: FastifyReply
  readonly key: string
  readonly callerId: string
}

function begin(
  { request, reply, key, callerId }: Arrived,
  { store, nowMs }: { store: SentOnceStore; nowMs: () => number },
  underWay: Set<string>,
): FastifyReply | undefined {
  const refusal = refusalOf(key, request)
  if (refusal) return sendProblem(reply, { status: 400, title: 'The key cannot be used', detail: refusal })
  const place = { callerId, key }
  const askedHash = sha256(JSON.stringify([request.method, request.url, request.body ?? null]))
  const atMs = nowMs()
  store.dropBefore(atMs - ANSWER_KEPT_MS)
  const known = store.begin({ ...place, askedHash, atMs })
  if (known.state === 'new') {
    underWay.add(nameOf(place))
    request.sentOnce = place
    return undefined
  }
  if (known.state === 'answered') return sendAgain(reply, known.answer)
  if (known.state === 'other') return sendOther(reply)
  return sendBegun(reply, underWay.has(nameOf(place)))
}

function refusalOf(key: string, { routeOptions }: FastifyRequest): string | null {
  if (!/^"?[\w-]{1,64}"?$/.test(key))
    return 'Idempotency-Key: send 1 to 64 letters, digits, - and _, new for each thing said'
  if (!ACTS.includes(routeOptions.config.permission))
    return 'Idempotency-Key: is taken with what people log, and not here; leave it out'
  return null
}

function sendAgain(reply: FastifyReply, { status, contentType, body }: GivenAnswer): FastifyReply {
  const answer = reply.code(status)
  return body === '' ? answer.send() : answer.type(contentType).serializer(String).send(body)
}

function sendOther(reply: FastifyReply): FastifyReply {
  const detail = 'Idempotency-Key: was used for something else; take a new one for each thing said'
  return sendProblem(reply, { status: 422, title: 'The key is used', detail })
}

function sendBegun(reply: FastifyReply, isUnderWay: boolean): FastifyReply {
  if (isUnderWay) {
    const detail = 'the same is being taken down just now: ask again in a few seconds'
    return sendProblem(reply.header('retry-after', '2'), { status: 503, title: 'One moment', detail })
  }
  const detail =
    'the monitor stopped while it took this down, so it may be there already: look, and say it again only if it is not'
  return sendProblem(reply, { status: 409, title: 'Perhaps it was taken', detail })
}

function answerOf(reply: FastifyReply, payload: unknown): GivenAnswer {
  const body =
    typeof payload === 'string' ? payload : Buffer.isBuffer(payload) ? payload.toString('utf8') : ''
  return { status: reply.statusCode, contentType: String(reply.getHeader('content-type') ?? ''), body }
}

function nameOf({ callerId, key }: Place): string {
  return `${callerId} ${key}`
}
