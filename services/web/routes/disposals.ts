import { z } from 'zod'
import { CSV_CONTENT_TYPE, csvPieces, type CsvColumn } from '../../codecs/csv.ts'
import { inTurns } from '../../codecs/turns.ts'
import { disposalFields, disposalSchema, type Disposal } from '../../core/model/disposal.ts'
import { createNames } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { createId } from '../auth/secrets.ts'
import { sendCsv } from '../csv-reply.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome, textResponse } from '../problem.ts'
import type { WebParts } from '../web-parts.ts'
import { windowQuery } from './log-entry-routes.ts'
import type { Routes } from './routes.ts'

const MOST_DISPOSALS = 2000
const versionSchema = disposalSchema.extend({ by: z.string().nullable() })
const viewSchema = versionSchema.extend({ corrections: z.int().nonnegative() })
const { disposalId, ...entryFields } = disposalFields
const entrySchema = z.strictObject(entryFields)
const see = { permission: 'seeDisposals' } as const
const log = { permission: 'logDisposals' } as const
const tags = ['disposals']

/** How disposals are shown: who wrote each down last, and how often it was corrected. */
export function disposalViews<D extends Disposal>(
  disposals: readonly D[],
  { records, accounts }: Pick<WebParts, 'records' | 'accounts'>,
): (D & { by: string | null; corrections: number })[] {
  const nameOf = createNames(accounts)
  const corrections = records.corrections({ kind: 'disposal', ids: disposals.map((d) => d.disposalId) })
  return disposals.map((d) => ({
    ...d,
    by: nameOf(d.act.actorId),
    corrections: corrections.get(d.disposalId) ?? 0,
  }))
}

/** Waste that left the shop. A correction is a new entry; what was said before stays in its history. */
export const disposalRoutes: Routes = async (app, parts) => {
  const { monitor, records, accounts } = parts
  app.get(
    '/disposals',
    {
      config: see,
      schema: {
        operationId: 'listDisposals',
        summary: `Disposals, the last first, at most ${MOST_DISPOSALS}, and what scales saw leave`,
        tags,
        querystring: z.strictObject({
          to: windowQuery.to,
          limit: z.coerce.number().int().min(1).max(MOST_DISPOSALS).default(MOST_DISPOSALS),
        }),
        response: {
          200: z.object({
            disposals: z.array(viewSchema),
            /** There are older ones: ask for those before this (`to`), in ms; null when this is all. */
            moreBeforeMs: z.int().nullable(),
            emptyings: z.array(z.object({ bottleId: z.string(), atMs: z.int(), volumeMl: z.number() })),
            bottles: z.array(z.object({ id: z.string(), title: z.string() })),
          }),
          default: problemResponse,
        },
      },
    },
    async ({ query: { to = Infinity, limit } }) => ({
      ...pageOf(records.disposals({ fromMs: 0, toMs: to, limit: limit + 1 }), limit, parts),
      emptyings: monitor.lastEmptyings().map((e) => ({ ...e })),
      bottles: monitor.settings().bottles.map(({ id, title }) => ({ id, title })),
    }),
  )
  app.get(
    '/disposals/:id/history',
    {
      config: see,
      schema: {
        operationId: 'readDisposalHistory',
        summary: 'Every entry of a disposal, the oldest first',
        tags,
        params: z.strictObject({ id: disposalId }),
        response: { 200: z.object({ entries: z.array(versionSchema) }), default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      const nameOf = createNames(accounts)
      const entries = records.disposalHistory(id).map((d) => ({ ...d, by: nameOf(d.act.actorId) }))
      return entries.length > 0
        ? { entries }
        : sendNotFound(reply, `id: there is no disposal ${id}; reload the list`)
    },
  )
  app.post(
    '/disposals',
    {
      config: log,
      schema: {
        operationId: 'logDisposal',
        summary: 'Log waste that left the shop',
        tags,
        body: entrySchema,
        response: { 201: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const entry = { ...request.body, disposalId: createId('disposal') }
      return sendOutcome(reply, await monitor.submit({ type: 'disposalLogged', act, ...entry }), 201)
    },
  )
  app.put(
    '/disposals/:id',
    {
      config: log,
      schema: {
        operationId: 'correctDisposal',
        summary: 'Correct an entry; what it said before stays in its history',
        tags,
        params: z.strictObject({ id: disposalId }),
        body: entrySchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { id } = request.params
      if (records.disposalHistory(id).length === 0)
        return sendNotFound(reply, `id: there is no disposal ${id}; reload the list`)
      const act = actOf(request, monitor)
      const entry = { ...request.body, disposalId: id }
      return sendOutcome(reply, await monitor.submit({ type: 'disposalLogged', act, ...entry }))
    },
  )
  app.get(
    '/disposals.csv',
    {
      config: see,
      schema: {
        operationId: 'exportDisposals',
        summary: 'Disposals as CSV (RFC 4180)',
        tags,
        response: { 200: textResponse(CSV_CONTENT_TYPE, 'Disposals, a line each'), default: problemResponse },
      },
    },
    async (_, reply) => {
      const nameOf = createNames(accounts)
      const titles = new Map(monitor.settings().bottles.map((b) => [b.id, b.title]))
      const columns: readonly CsvColumn<Disposal>[] = [
        { heading: 'disposed_at_utc', cell: (d) => new Date(d.disposedMs).toISOString() },
        {
          heading: 'bottle',
          cell: (d) => (d.bottleId === null ? null : (titles.get(d.bottleId) ?? d.bottleId)),
        },
        { heading: 'volume_ml', cell: (d) => d.volumeMl },
        { heading: 'to_whom', cell: (d) => d.toWhom },
        { heading: 'note', cell: (d) => d.note },
        { heading: 'logged_by', cell: (d) => nameOf(d.act.actorId) },
        { heading: 'id', cell: (d) => d.disposalId },
      ]
      const all = records.disposals({ fromMs: 0, toMs: Infinity, limit: Infinity })
      return sendCsv(reply, { fileName: 'disposals.csv', pieces: inTurns(csvPieces(columns, all), 1) })
    },
  )
}

/** At most so many; those of the moment at which it would be cut stand on the next page. */
function pageOf(
  found: readonly Disposal[],
  limit: number,
  parts: Pick<WebParts, 'records' | 'accounts'>,
): { disposals: ReturnType<typeof disposalViews>; moreBeforeMs: number | null } {
  const next = found[limit]
  const shown = next ? found.filter((d) => d.disposedMs > next.disposedMs) : found
  const isCut = next !== undefined && shown.length > 0
  return {
    disposals: disposalViews(isCut ? shown : found.slice(0, limit), parts),
    moreBeforeMs: next ? next.disposedMs + (isCut ? 1 : 0) : null,
  }
}
