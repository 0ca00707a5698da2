import { z } from 'zod'
import { CSV_CONTENT_TYPE, csvPieces } from '../../codecs/csv.ts'
import { inTurns } from '../../codecs/turns.ts'
import { causesStatusSchema, type CausesQuestion } from '../../core/model/causes-view.ts'
import { nameSchema } from '../../core/model/name.ts'
import { sendCsv } from '../csv-reply.ts'
import { noContent, problemResponse, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const date = z.iso.date({ error: 'write a date as YYYY-MM-DD' })
const fields = { from: date.optional(), to: date.optional(), machineId: nameSchema.optional() }
const isInOrder = ({ from, to }: { from?: string | undefined; to?: string | undefined }): boolean =>
  from === undefined || to === undefined || from <= to
const order = { path: ['to'], error: 'to must not be before from' }
const tags = ['causes']
const see = { permission: 'seeCauses' } as const

/** What the nights say of clogs. A page takes seconds to work out, so it is asked for, and looked at when it is there. */
export const causesRoutes: Routes = async (app, { causes }) => {
  app.get(
    '/causes',
    {
      config: see,
      schema: {
        operationId: 'readCauses',
        summary: 'What is kept of the page Causes, whether it is current, and whether it is being worked out',
        tags,
        querystring: z.strictObject(fields).refine(isInOrder, order),
        response: { 200: causesStatusSchema, default: problemResponse },
      },
    },
    async ({ query }) => causes.status(questionOf(query)),
  )
  app.post(
    '/causes/computations',
    {
      config: see,
      schema: {
        operationId: 'computeCauses',
        summary: 'Work the page out anew; look at GET /causes with the same question for how far it is',
        tags,
        body: z.strictObject(fields).refine(isInOrder, order),
        response: { 202: causesStatusSchema, default: problemResponse },
      },
    },
    async ({ body }, reply) => {
      const question = questionOf(body)
      causes.start(question)
      return reply.code(202).send(causes.status(question))
    },
  )
  app.delete(
    '/causes/computations',
    {
      config: see,
      schema: {
        operationId: 'dropCauses',
        summary: 'Stop what is being worked out; what is kept stays',
        tags,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (_, reply) => {
      await causes.drop()
      return reply.code(204).send()
    },
  )
  app.get(
    '/causes/nights.csv',
    {
      config: see,
      schema: {
        operationId: 'downloadNights',
        summary: 'Every night of every channel group with its exposures and its outcome, as CSV',
        tags,
        response: {
          200: textResponse(CSV_CONTENT_TYPE, 'Nights with a head line'),
          default: problemResponse,
        },
      },
    },
    async (_, reply) => {
      const [head = [], ...rows] = await causes.table()
      const columns = head.map((heading, i) => ({
        heading: String(heading),
        cell: (row: (typeof rows)[number]) => row[i] ?? null,
      }))
      return sendCsv(reply, { fileName: 'nights.csv', pieces: inTurns(csvPieces(columns, rows), 1) })
    },
  )
}

function questionOf({
  from,
  to,
  machineId,
}: {
  from?: string | undefined
  to?: string | undefined
  machineId?: string | undefined
}): CausesQuestion {
  return { from: from ?? null, to: to ?? null, machineId: machineId ?? null }
}
