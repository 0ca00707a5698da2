import type { FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import type { ActOutcome } from '../../core/model/ports/monitor.ts'
import type { ReplyLink } from '../../core/model/ports/notice-store.ts'
import { noContent, problemResponse, sendOutcome, sendProblem } from '../problem.ts'
import {
  alarmPage,
  EXPIRED_LINK,
  REPLY_STYLE,
  replyPageHtml,
  TEST_PAGE,
  UNKNOWN_LINK,
  type ReplyPage,
} from '../reply-page.ts'
import type { WebParts } from '../web-parts.ts'
import type { Routes } from './routes.ts'

/** Tries an address has in a minute. Starting value. */
const rateLimit = { max: 30, timeWindow: 60_000 }
const open = { permission: 'anyone', rateLimit, secretInPath: true } as const
const params = z.strictObject({ token: z.string().min(1).max(200) })
const answerSchema = z.discriminatedUnion('answer', [
  z.strictObject({ answer: z.literal('acknowledge') }),
  z.strictObject({
    answer: z.literal('snooze'),
    minutes: z.coerce
      .number()
      .pipe(z.union([z.literal(15), z.literal(30), z.literal(60)], { error: 'send 15, 30 or 60' })),
  }),
  z.strictObject({ answer: z.literal('received') }),
])
type Answer = z.infer<typeof answerSchema>

/**
 * Answers by link. The token in the path is all that it takes: it stands for one contact and one alarm, for a day.
 *
 * REPLY-1 looking changes nothing: whoever scans mail follows links.
 * REPLY-2 an answer acts as the contact's person, or as the contact where no person is named, and proves the way back.
 * REPLY-3 an unknown or old link says so calmly, and what to do instead.
 */
export const replyRoutes: Routes = async (app, parts) => {
  app.addContentTypeParser('application/x-www-form-urlencoded', { parseAs: 'string' }, (_, body, done) =>
    done(null, Object.fromEntries(new URLSearchParams(String(body)))),
  )
  app.get(
    '/r/look.css',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'readReplyStyle',
        summary: 'How the page of a link to answer by looks',
        tags: ['telling'],
        response: { 200: z.string().describe('A style sheet'), default: problemResponse },
      },
    },
    async (_, reply) =>
      reply.type('text/css; charset=utf-8').header('cache-control', 'public, max-age=3600').send(REPLY_STYLE),
  )
  app.get(
    '/r/:token',
    {
      config: open,
      schema: {
        operationId: 'readReplyPage',
        summary: 'The page of a link to answer by; looking changes nothing',
        tags: ['telling'],
        params,
        response: { 200: z.string().describe('A page'), default: problemResponse },
      },
    },
    async (request, reply) => {
      const found = linkOf(request.params.token, parts)
      return 'page' in found
        ? sendPage(reply, found.page, found.status)
        : sendPage(reply, pageOf(found.link, parts))
    },
  )
  app.post(
    '/r/:token',
    {
      config: open,
      schema: {
        operationId: 'answerByLink',
        summary: 'Answer a notice by its link: "I\'m on it", "Snooze", or "received" for a test',
        tags: ['telling'],
        params,
        body: answerSchema,
        response: {
          200: z.string().describe('A page, for a form'),
          204: noContent,
          default: problemResponse,
        },
      },
    },
    async (request, reply) => {
      const found = linkOf(request.params.token, parts)
      if ('page' in found) {
        if (wantsPage(request)) return sendPage(reply, found.page, found.status)
        const { title, lines } = found.page
        return sendProblem(reply, { status: found.status, title, detail: lines.join(' ') })
      }
      const outcome = await act(found.link, request.body, parts)
      // Whatever came of it: the answer found its way home.
      await parts.monitor.submit({ type: 'replyPathProven', contactId: found.link.contactId })
      if (!wantsPage(request)) return sendOutcome(reply, outcome)
      return sendPage(
        reply,
        afterwards(outcome, request.body, pageOf(found.link, parts)),
        outcome.ok ? 200 : 409,
      )
    },
  )
}

type Found = { readonly link: ReplyLink } | { readonly page: ReplyPage; readonly status: number }

function linkOf(token: string, { telling, monitor }: WebParts): Found {
  const link = telling.replyLink(token)
  if (!link) return { page: UNKNOWN_LINK, status: 404 }
  return link.expiresMs <= monitor.nowMs() ? { page: EXPIRED_LINK, status: 410 } : { link }
}

function pageOf({ alarmId }: ReplyLink, { records }: WebParts): ReplyPage {
  return alarmId === null ? TEST_PAGE : alarmPage(records.alarm(alarmId))
}

async function act({ alarmId, contactId }: ReplyLink, answer: Answer, parts: WebParts): Promise<ActOutcome> {
  const { monitor, accounts } = parts
  if (answer.answer === 'received') return { ok: true }
  if (alarmId === null)
    return { ok: false, code: 'invalid', reason: 'answer: a test takes nothing but received' }
  const contact = monitor.settings().contacts.find((c) => c.id === contactId)
  if (!contact)
    return { ok: false, code: 'unknown', reason: 'this contact is no longer told: sign in on the board' }
  const person = contact.personId === undefined ? null : accounts.person(contact.personId)
  const actorId = person?.removedMs === null ? person.id : `contact:${contactId}`.slice(0, 64)
  const stamp = { actorId, via: 'phone' as const, atMs: monitor.nowMs() }
  if (answer.answer === 'acknowledge')
    return monitor.submit({ type: 'alarmAcknowledged', act: stamp, alarmId })
  const untilMs = stamp.atMs + answer.minutes * 60_000
  return monitor.submit({ type: 'alarmSnoozed', act: stamp, alarmId, contactId, untilMs })
}

function afterwards(outcome: ActOutcome, answer: Answer, page: ReplyPage): ReplyPage {
  if (!outcome.ok) return { title: 'That was not needed any more', lines: [outcome.reason], asks: 'nothing' }
  if (answer.answer === 'received')
    return { title: 'Thank you', lines: ['Your answers reach the shop.'], asks: 'nothing' }
  const said =
    answer.answer === 'acknowledge'
      ? 'You are on it. Nobody else is asked.'
      : `You are asked again in ${answer.minutes} minutes. The next contact may be asked before.`
  return { title: 'Thank you', lines: [said, page.title], asks: 'nothing' }
}

/** A form wants a page, a program wants JSON. */
function wantsPage({ headers }: FastifyRequest): boolean {
  return headers['content-type']?.startsWith('application/x-www-form-urlencoded') ?? false
}

function sendPage(reply: FastifyReply, page: ReplyPage, status = 200): FastifyReply {
  return reply
    .code(status)
    .type('text/html; charset=utf-8')
    .header('referrer-policy', 'no-referrer')
    .serializer((html: string) => html)
    .send(replyPageHtml(page))
}
