import type { FastifyReply } from 'fastify'
import { z } from 'zod'
import { CSV_CONTENT_TYPE } from '../../codecs/csv.ts'
import {
  HELPED,
  careEntrySchema,
  headChangeSchema,
  logNoteSchema,
  nozzleCheckSchema,
  logIdOf,
  logIdSchema,
  logTimeOf,
  LOG_KINDS,
  OLDEST_ENTRY_MS,
  saidEntrySchema,
  type JudgedCare,
  type LogEntry,
  type LogKind,
  type SaidEntry,
} from '../../core/model/log-entry.ts'
import { nameSchema } from '../../core/model/name.ts'
import type { Permission } from '../../core/model/permissions.ts'
import type { LogWindow, RecordsReader } from '../../core/model/ports/records.ts'
import { createNames, nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { sendCsv } from '../csv-reply.ts'
import { firstPage } from '../log-pages.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome, textResponse } from '../problem.ts'
import type { WebParts } from '../web-parts.ts'
import type { Routes } from './routes.ts'

/** A kind of entry and its routes. */
export interface LogRoutes<Row extends LogEntry, Body extends object> {
  readonly kind: LogKind
  /** Where its routes stand, and how a file of it is called: `nozzle-checks`. */
  readonly path: string
  /** What operation ids are made of, in the singular: `NozzleCheck`. */
  readonly operation: string
  /** How people call it. */
  readonly noun: string
  readonly write: Permission
  /** What is said of an entry, without its id. */
  readonly body: z.ZodType<Body>
  readonly toEntry: (id: string, body: Body, isVoid: boolean) => SaidEntry
  readonly read: (records: RecordsReader, window: LogWindow) => readonly Row[]
}

const atMsSchema = z.coerce.number().pipe(z.int().nonnegative().max(8.64e15))
/** `from` and `to` in ms since 1970; none: the last ten years. */
export const windowQuery = {
  from: atMsSchema.optional(),
  to: atMsSchema.optional(),
  machineId: nameSchema.optional(),
}
type WindowQuery = { from?: number | undefined; to?: number | undefined; machineId?: string | undefined }

const written = { by: z.string().nullable() }
const shown = { ...written, helped: z.enum(HELPED).nullable(), corrections: z.int().nonnegative() }
/** An entry with who wrote it down; of a cleaning also whether it helped. */
export const logViewSchema = z.discriminatedUnion('kind', [
  nozzleCheckSchema.extend(shown),
  careEntrySchema.extend(shown),
  logNoteSchema.extend(shown),
  headChangeSchema.extend(shown),
])
const versionSchema = z.discriminatedUnion('kind', [
  nozzleCheckSchema.extend(written),
  careEntrySchema.extend(written),
  logNoteSchema.extend(written),
  headChangeSchema.extend(written),
])

/** What one answer lists; whoever wants more asks from a later time on. */
const MOST_LISTED = 1000
const listSchema = z.object({
  entries: z.array(logViewSchema),
  /** There are later ones in the time asked for: ask with `from` at this, in ms; null when this is all. */
  moreFromMs: z.int().nullable(),
})

export function windowOf({ from, to, machineId }: WindowQuery, nowMs: number): LogWindow {
  const window = { fromMs: from ?? nowMs - OLDEST_ENTRY_MS, toMs: to ?? nowMs + 86_400_000 }
  return machineId === undefined ? window : { ...window, machineId }
}

/** How entries are shown: who wrote each down last, and how often it was corrected; of many with few queries. */
export function viewsOf(
  entries: readonly (LogEntry | JudgedCare)[],
  { records, accounts }: Pick<WebParts, 'records' | 'accounts'>,
): z.infer<typeof logViewSchema>[] {
  const nameOf = createNames(accounts)
  const corrections = new Map(
    LOG_KINDS.map((kind) => {
      const ids = entries.filter((e) => e.kind === kind).map(logIdOf)
      return [kind, ids.length === 0 ? NONE : records.corrections({ kind, ids })]
    }),
  )
  return entries.map((entry) => ({
    ...entry,
    by: nameOf(entry.act.actorId),
    helped: 'helped' in entry ? entry.helped : null,
    corrections: corrections.get(entry.kind)?.get(logIdOf(entry)) ?? 0,
  }))
}

const NONE: ReadonlyMap<string, number> = new Map()

/** List, history, correction and CSV of one kind of entry. What is new has a route of its own, since it may change more. */
export function logEntryRoutes<Row extends LogEntry, Body extends object>(of: LogRoutes<Row, Body>): Routes {
  return async (app, parts) => {
    const { monitor, records, accounts, logFiles } = parts
    const tags = ['logbook']
    const see = { permission: 'seeLogbook' } as const
    const unknown = (reply: FastifyReply, id: string) =>
      sendNotFound(reply, `id: there is no ${of.noun} ${id}; reload the logbook`)
    app.get(
      `/${of.path}`,
      {
        config: see,
        schema: {
          operationId: `list${of.operation}s`,
          summary: `Each ${of.noun} as it was said last and is not void, the oldest first, at most ${MOST_LISTED}`,
          tags,
          querystring: z.strictObject({
            ...windowQuery,
            limit: z.coerce.number().int().min(1).max(MOST_LISTED).default(MOST_LISTED),
          }),
          response: { 200: listSchema, default: problemResponse },
        },
      },
      async ({ query: { limit, ...query } }) => {
        const window = windowOf(query, monitor.nowMs())
        const read = (part: LogWindow) => of.read(records, part)
        const { shown, moreFromMs } = firstPage({ window, limit, read, timeOf: logTimeOf })
        return { entries: viewsOf(shown, parts), moreFromMs }
      },
    )
    app.get(
      `/${of.path}/:id/history`,
      {
        config: see,
        schema: {
          operationId: `read${of.operation}History`,
          summary: `Everything that was said of a ${of.noun}, the oldest first`,
          tags,
          params: z.strictObject({ id: logIdSchema }),
          response: { 200: z.object({ entries: z.array(versionSchema) }), default: problemResponse },
        },
      },
      async ({ params: { id } }, reply) => {
        const entries = records.logHistory({ kind: of.kind, id })
        if (entries.length === 0) return unknown(reply, id)
        return { entries: entries.map((e) => ({ ...e, by: nameOfActor(e.act.actorId, accounts) })) }
      },
    )
    app.post(
      `/${of.path}/:id/corrections`,
      {
        config: { permission: of.write },
        schema: {
          operationId: `correct${of.operation}`,
          summary: `Correct a ${of.noun}, or void it; what it said before stays in its history`,
          tags,
          params: z.strictObject({ id: logIdSchema }),
          body: z.strictObject({ said: of.body, void: z.boolean().default(false) }),
          response: { 204: noContent, default: problemResponse },
        },
      },
      async (request, reply) => {
        const { id } = request.params
        if (records.logHistory({ kind: of.kind, id }).length === 0) return unknown(reply, id)
        const { said, void: isVoid } = request.body
        const entry = saidEntrySchema.parse(of.toEntry(id, said, isVoid))
        const act = actOf(request, monitor)
        return sendOutcome(reply, await monitor.submit({ type: 'logEntriesNoted', act, entries: [entry] }))
      },
    )
    app.get(
      `/${of.path}.csv`,
      {
        config: see,
        schema: {
          operationId: `export${of.operation}s`,
          summary: `Each ${of.noun} as CSV (RFC 4180), the oldest first; the import reads it back`,
          tags,
          querystring: z.strictObject(windowQuery),
          response: { 200: textResponse(CSV_CONTENT_TYPE, 'An entry a line'), default: problemResponse },
        },
      },
      async ({ query }, reply) => {
        const pieces = logFiles.csv(of.kind, windowOf(query, monitor.nowMs()))
        return sendCsv(reply, { fileName: `${of.path}.csv`, pieces })
      },
    )
  }
}
