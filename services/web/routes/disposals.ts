import { z } from 'zod'
import { CSV_CONTENT_TYPE, toCsv, type CsvColumn } from '../../codecs/csv.ts'
import { disposalFields, disposalSchema, type Disposal } from '../../core/model/disposal.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { createId } from '../auth/secrets.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const MOST_DISPOSALS = 2000
const versionSchema = disposalSchema.extend({ by: z.string().nullable() })
const viewSchema = versionSchema.extend({ corrections: z.int().nonnegative() })
const { disposalId, ...entryFields } = disposalFields
const entrySchema = z.strictObject(entryFields)
const see = { permission: 'seeDisposals' } as const
const log = { permission: 'logDisposals' } as const
const tags = ['disposals']

/** Waste that left the shop. A correction is a new entry; what was said before stays in its history. */
export const disposalRoutes: Routes = async (app, { monitor, records, accounts }) => {
  const toVersion = (d: Disposal) => ({ ...d, by: nameOfActor(d.act.actorId, accounts) })
  const toView = (d: Disposal) => ({
    ...toVersion(d),
    corrections: records.disposalHistory(d.disposalId).length - 1,
  })
  app.get(
    '/disposals',
    {
      config: see,
      schema: {
        operationId: 'listDisposals',
        summary: `Disposals, the last first, at most ${MOST_DISPOSALS}, and what scales saw leave`,
        tags,
        response: {
          200: z.object({
            disposals: z.array(viewSchema),
            emptyings: z.array(z.object({ bottleId: z.string(), atMs: z.int(), volumeMl: z.number() })),
            bottles: z.array(z.object({ id: z.string(), title: z.string() })),
          }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      disposals: records.disposals(MOST_DISPOSALS).map(toView),
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
      const entries = records.disposalHistory(id).map(toVersion)
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
      const titles = new Map(monitor.settings().bottles.map((b) => [b.id, b.title]))
      const columns: readonly CsvColumn<ReturnType<typeof toVersion>>[] = [
        { heading: 'disposed_at_utc', cell: (d) => new Date(d.disposedMs).toISOString() },
        {
          heading: 'bottle',
          cell: (d) => (d.bottleId === null ? null : (titles.get(d.bottleId) ?? d.bottleId)),
        },
        { heading: 'volume_ml', cell: (d) => d.volumeMl },
        { heading: 'to_whom', cell: (d) => d.toWhom },
        { heading: 'note', cell: (d) => d.note },
        { heading: 'logged_by', cell: (d) => d.by },
        { heading: 'id', cell: (d) => d.disposalId },
      ]
      const text = toCsv(columns, records.disposals(MOST_DISPOSALS).map(toVersion))
      return reply
        .type(CSV_CONTENT_TYPE)
        .header('content-disposition', 'attachment; filename="disposals.csv"')
        .send(text)
    },
  )
}
