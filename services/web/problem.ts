import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import {
  fieldErrorsOf,
  PROBLEM_CONTENT_TYPE,
  problemDetailsSchema,
  toSentence,
  type FieldError,
  type ProblemDetails,
} from '../codecs/problem-details.ts'
import { PasswordsBusyError } from './auth/passwords.ts'
import type { ActOutcome } from '../core/model/ports/monitor.ts'

/** Every route's answer when something is wrong, for its `response` schema. */
export const problemResponse = {
  description: 'Something is wrong: problem details (RFC 9457)',
  content: { [PROBLEM_CONTENT_TYPE]: { schema: problemDetailsSchema } },
}

/** An answer that is a text of its own kind, for a route's `response`. */
export function textResponse(contentType: string, description: string) {
  return { description, content: { [contentType]: { schema: z.string() } } }
}

/** An answer without a body. */
export const noContent = z.undefined().describe('Done; nothing to read')

export interface Problem {
  readonly status: number
  /** What kind of thing is wrong. */
  readonly title: string
  /** What exactly, in which field, and the cure. */
  readonly detail: string
  readonly errors?: readonly FieldError[]
}

/** Answers with problem details (RFC 9457); `about:blank` says that the title is all there is to the type. */
export function sendProblem(reply: FastifyReply, { status, title, detail, errors }: Problem): FastifyReply {
  const body: ProblemDetails = {
    type: 'about:blank',
    title,
    status,
    detail,
    ...(errors ? { errors: errors.map(({ pointer, detail }) => ({ pointer, detail })) } : {}),
  }
  return reply.code(status).type(PROBLEM_CONTENT_TYPE).serializer(JSON.stringify).send(body)
}

export function sendNotFound(reply: FastifyReply, detail: string): FastifyReply {
  return sendProblem(reply, { status: 404, title: 'There is no such thing', detail })
}

/** 204 for an act that was taken; for a refused one the status that fits, with its reason. */
export function sendOutcome(reply: FastifyReply, outcome: ActOutcome, okStatus = 204): FastifyReply {
  if (outcome.ok) return reply.code(okStatus).send()
  const { code, reason } = outcome
  if (code === 'unknown') return sendNotFound(reply, reason)
  const [status, title] = code === 'conflict' ? [409, 'Too late for that'] : [422, 'A field is wrong']
  return sendProblem(reply, { status, title, detail: reason })
}

/** A part of a request that its schema refused. */
export class InvalidInputError extends Error {
  override readonly name = 'InvalidInputError'
  readonly code = 'INPUT_INVALID'
  readonly part: string
  readonly errors: readonly FieldError[]
  constructor(part: string, errors: readonly FieldError[]) {
    super(toSentence(errors))
    this.part = part
    this.errors = errors
  }
}

/** Checks requests with zod, and keeps what was found as fields and cures. */
export function compileValidator({ schema, httpPart }: { schema: z.ZodType; httpPart?: string }) {
  return (data: unknown): { value: unknown } | { error: Error } => {
    const parsed = schema.safeParse(data)
    if (parsed.success) return { value: parsed.data }
    return { error: new InvalidInputError(httpPart ?? 'body', fieldErrorsOf(parsed.error.issues)) }
  }
}

/** What the framework refuses by itself, in words that name the cure. */
const FRAMEWORK_CURES: Readonly<Record<string, string>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: 'Content-Type: send application/json',
  FST_ERR_CTP_BODY_TOO_LARGE: 'body: longer than 1 MB; send less',
  FST_ERR_CTP_EMPTY_JSON_BODY: 'body: is empty; send JSON, or leave Content-Type out',
  FST_ERR_CTP_INVALID_JSON_BODY: 'body: is not JSON; check quotes, commas and brackets',
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: 'Content-Length: does not fit the body; leave it to your HTTP library',
  FST_ERR_BAD_URL: 'path: is not well encoded; write a % as %25',
  FST_ERR_MAX_LIMIT_PATH_LENGTH: 'path: a part of it is too long',
}

export function addProblemHandlers(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => sendError(error, request, reply))
}

/** Turns whatever was thrown into problem details; what is not the caller's doing is logged, and not told. */
export function sendError(error: FastifyError, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  if (error instanceof InvalidInputError) {
    const { part, errors } = error
    const where = part === 'body' ? 'body' : part === 'params' ? 'path' : 'query'
    const title = `The ${where} of the request cannot be used`
    return sendProblem(reply, { status: part === 'body' ? 422 : 400, title, detail: error.message, errors })
  }
  if (error instanceof PasswordsBusyError) {
    const detail = 'too many people are signing in at once: try again in a few seconds'
    return sendProblem(reply.header('retry-after', '5'), { status: 503, title: 'Busy', detail })
  }
  const status = error.statusCode ?? 500
  if (status < 500) {
    // A text of the framework may quote the body, and with it a password: only known ones are passed on.
    const detail =
      FRAMEWORK_CURES[error.code] ??
      (status === 429 ? error.message : 'see /api/openapi.json for what is taken')
    return sendProblem(reply, { status, title: 'The request cannot be used', detail })
  }
  request.log.error({ code: error.code, stack: error.stack }, 'a request failed')
  const detail = 'this is not your doing; the log of the monitor says more'
  return sendProblem(reply, { status: 500, title: 'Something broke inside', detail })
}
