import { z } from 'zod'
import { CALENDAR_CONTENT_TYPE, toICalendar, type CalendarEntry } from '../../codecs/icalendar.ts'
import { routineAdvice, turnsOf } from '../../core/advise/routines/routines-of.ts'
import type { Settings } from '../../core/model/settings.ts'
import type { Task } from '../../core/model/task.ts'
import { createId, createSecret, sha256 } from '../auth/secrets.ts'
import { noContent, problemResponse, sendNotFound, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const HOUR_MS = 3_600_000
const AHEAD_MS = 60 * 24 * HOUR_MS
/** How long an entry takes on the page of a calendar. */
const SHOWN_MS = HOUR_MS / 2
const MOST_ENTRIES = 500
const config = { permission: 'manageCalendars' } as const
const tags = ['calendar']
const calendarSchema = z.object({ id: z.string(), title: z.string(), createdMs: z.int() })

/** The secret addresses of calendar feeds. An address is in one answer, and then nowhere. */
export const calendarRoutes: Routes = async (app, { accounts, nowMs }) => {
  const present = () => accounts.credentials('calendar').filter((c) => c.revokedMs === null)
  app.get(
    '/calendars',
    {
      config,
      schema: {
        operationId: 'listCalendars',
        summary: 'Calendar feeds whose address is good',
        tags,
        response: { 200: z.object({ calendars: z.array(calendarSchema) }), default: problemResponse },
      },
    },
    async () => ({ calendars: present().map(({ id, title, createdMs }) => ({ id, title, createdMs })) }),
  )
  app.post(
    '/calendars',
    {
      config,
      schema: {
        operationId: 'addCalendar',
        summary: 'Make a secret address for a calendar; it is in this answer alone',
        tags,
        body: z.strictObject({
          title: z.string().trim().min(1, { error: 'say whose calendar it is' }).max(80),
        }),
        response: { 201: z.object({ id: z.string(), path: z.string() }), default: problemResponse },
      },
    },
    async ({ body: { title } }, reply) => {
      const id = createId('calendar')
      const secret = createSecret()
      accounts.putCredential({ id, kind: 'calendar', title, secretHash: sha256(secret), createdMs: nowMs() })
      return reply.code(201).send({ id, path: `/calendar/${secret}.ics` })
    },
  )
  app.delete(
    '/calendars/:id',
    {
      config,
      schema: {
        operationId: 'removeCalendar',
        summary: 'Revoke the address of a calendar feed',
        tags,
        params: z.strictObject({ id: z.string().min(1).max(64) }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      if (!present().some((c) => c.id === id))
        return sendNotFound(reply, `id: there is no calendar ${id}; reload the list`)
      accounts.revokeCredential('calendar', id, nowMs())
      return reply.code(204).send()
    },
  )
}

/** The feed itself: whoever has the address may read it, since calendars cannot sign in. */
export const calendarFeedRoutes: Routes = async (app, { accounts, records, monitor }) => {
  app.get(
    '/calendar/:file',
    {
      config: { permission: 'anyone', rateLimit: { max: 60, timeWindow: '1 minute' } },
      schema: {
        operationId: 'readCalendar',
        summary: 'Open tasks and coming routines as iCalendar (RFC 5545), at a secret address',
        tags,
        security: [],
        params: z.strictObject({ file: z.string().max(100) }),
        response: { 200: textResponse(CALENDAR_CONTENT_TYPE, 'A calendar'), default: problemResponse },
      },
    },
    async ({ params: { file } }, reply) => {
      const secret = /^([\w-]{43})\.ics$/.exec(file)?.[1]
      const credential = secret === undefined ? null : accounts.credentialByHash('calendar', sha256(secret))
      if (credential?.revokedMs !== null)
        return sendNotFound(reply, 'this address is not good, or not any more: ask an owner for a new one')
      const settings = monitor.settings()
      const nowMs = monitor.nowMs()
      const open = records.tasks({ states: ['open'], limit: MOST_ENTRIES })
      const entries = [...open.map((t) => entryOfTask(t, settings)), ...comingTurns(settings, nowMs)]
      const text = toICalendar(settings.site.title, entries.slice(0, MOST_ENTRIES), {
        nowMs,
        everyMs: HOUR_MS,
      })
      return reply.type(CALENDAR_CONTENT_TYPE).send(text)
    },
  )
}

function entryOfTask(
  { id, title, why, steps, dueMs, deferred, openedMs }: Task,
  { site }: Settings,
): CalendarEntry {
  const fromMs = deferred?.untilMs ?? dueMs ?? openedMs
  const text = [why, ...steps.map((s, i) => `${i + 1}. ${s}`)].join('\n')
  return { id: `${id}@${site.id}.nightcap`, title, text, fromMs, toMs: fromMs + SHOWN_MS }
}

function comingTurns(settings: Settings, nowMs: number): readonly CalendarEntry[] {
  const entries: CalendarEntry[] = []
  for (const { key, routine, subject, nextAfter } of turnsOf(settings)) {
    if (!nextAfter) continue
    const { title, why } = routineAdvice(routine, subject, settings)
    for (let at = nextAfter(nowMs); at !== null && at < nowMs + AHEAD_MS; at = nextAfter(at)) {
      const id = `${key}|${at}@${settings.site.id}.nightcap`
      entries.push({ id, title, text: why, fromMs: at, toMs: at + SHOWN_MS })
    }
  }
  return entries.sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1))
}
