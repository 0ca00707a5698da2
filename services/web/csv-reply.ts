import { Readable } from 'node:stream'
import type { FastifyReply } from 'fastify'
import { CSV_CONTENT_TYPE } from '../codecs/csv.ts'

/**
 * Sends a CSV file piece by piece, as whoever asked takes it. Without the route's own types: a stream is sent as it is,
 * and none of the schemas' texts.
 */
export function sendCsv(
  reply: FastifyReply,
  { fileName, pieces }: { fileName: string; pieces: AsyncIterable<string> },
): FastifyReply {
  return reply
    .type(CSV_CONTENT_TYPE)
    .header('content-disposition', `attachment; filename="${fileName}"`)
    .send(Readable.from(pieces))
}
