import { z } from 'zod'
import { CSV_CONTENT_TYPE } from '../../codecs/csv.ts'
import { READINGS_HEADING, toReadingLine } from '../../codecs/readings-csv.ts'
import { inTurns } from '../../codecs/turns.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'
import type { Quantity } from '../../core/model/quantity.ts'
import { sensorIdSchema } from '../../core/model/subject.ts'
import { sendCsv } from '../csv-reply.ts'
import { problemResponse, sendNotFound, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'
import { quantityOf } from './series.ts'

/** Readings looked up at a time: a commit of the monitor waits for no more than that. */
const PAGE = 2_000
const atMsSchema = z.coerce.number().pipe(z.int().nonnegative().max(8.64e15))
const querySchema = z
  .strictObject({ sensor: sensorIdSchema, from: atMsSchema, to: atMsSchema })
  .refine((q) => q.from < q.to, { path: ['to'], error: 'must be later than from' })

/** Single readings as a file, a page at a time: the next is looked up when whoever asked has taken the last, and others had their turn. */
export const readingsCsvRoutes: Routes = async (app, { monitor, records }) => {
  app.get(
    '/readings.csv',
    {
      config: { permission: 'exportReadings' },
      schema: {
        operationId: 'exportReadings',
        summary: 'Single readings of a sensor as CSV (RFC 4180), as nightcap import takes them',
        tags: ['readings'],
        querystring: querySchema,
        response: { 200: textResponse(CSV_CONTENT_TYPE, 'Readings, a line each'), default: problemResponse },
      },
    },
    async ({ query: { sensor, from, to } }, reply) => {
      const quantity = quantityOf(sensor, monitor, records)
      if (!quantity)
        return sendNotFound(reply, `sensor: ${sensor} is neither assigned nor heard; see /api/v1/sensors`)
      const window = { sensorId: sensor, quantity, fromMs: from, toMs: to }
      return sendCsv(reply, {
        fileName: `${sensor.replace('/', '-')}.csv`,
        pieces: inTurns(pagesOf(records, window), 1),
      })
    },
  )
}

function* pagesOf(
  records: Pick<RecordsReader, 'readings'>,
  { fromMs, ...window }: { sensorId: string; quantity: Quantity; fromMs: number; toMs: number },
): Generator<string> {
  yield `${READINGS_HEADING}\r\n`
  for (let nextMs = fromMs; ;) {
    const page = records.readings({ ...window, fromMs: nextMs, limit: PAGE })
    const last = page.at(-1)
    if (last === undefined) return
    yield page.map((reading) => `${toReadingLine(reading)}\r\n`).join('')
    nextMs = last.atMs + 1
  }
}
