import { z } from 'zod'
import { may } from '../../core/model/permissions.ts'
import { callerOfGuarded } from '../auth/guards.ts'
import { problemResponse, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const eventIdSchema = z
  .string()
  .regex(/^\d{0,15}$/, { error: 'send back the id of the last event as it came, or leave it out' })
  .optional()
const headersSchema = z.looseObject({ 'last-event-id': eventIdSchema })
/** For the first time, when the header cannot be set: browsers send it only when they come again. */
const querySchema = z.object({ after: eventIdSchema })

/** What changes, as it changes. */
export const eventRoutes: Routes = async (app, { streams }) => {
  app.get(
    '/events',
    {
      config: { permission: 'seeBoard' },
      exposeHeadRoute: false,
      schema: {
        operationId: 'followEvents',
        summary:
          'Server-sent events alarm, task, settings and latest; resumes after Last-Event-ID, or after the id given',
        tags: ['events'],
        headers: headersSchema,
        querystring: querySchema,
        response: {
          200: {
            description: 'A stream of events',
            content: { 'text/event-stream': { schema: z.string() } },
          },
          default: problemResponse,
        },
      },
    },
    async (request, reply) => {
      const { key, isStillGood, role } = callerOfGuarded(request)
      const room = streams.room(key)
      if (room !== 'free') {
        const [status, detail] =
          room === 'full'
            ? [503, 'as many streams are open as the monitor can serve: close some, or try again later']
            : [429, 'this session has as many streams open as it may: close other tabs of the board']
        return sendProblem(reply.header('retry-after', '30'), { status, title: 'Too many streams', detail })
      }
      const given = request.headers['last-event-id'] ?? request.query.after
      reply.hijack()
      streams.open(
        reply.raw,
        {
          key,
          isStillGood,
          seesReadings: may(role, 'seeReadings'),
          afterId: given ? Number(given) : null,
        },
        headersOf(reply.getHeaders()),
      )
      return reply
    },
  )
}

/** The headers set so far, for an answer that is written by hand. */
function headersOf(headers: Record<string, unknown>): Record<string, string> {
  return Object.fromEntries(
    Object.entries(headers).flatMap(([name, value]) => (typeof value === 'string' ? [[name, value]] : [])),
  )
}
