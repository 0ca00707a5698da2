import { createHash } from 'node:crypto'
import { z } from 'zod'
import { quantitySchema } from '../../services/core/model/quantity.ts'
import type { OutboxEntry } from './outbox.ts'

const storedEntrySchema = z.strictObject({
  id: z.int().min(1),
  bootId: z.string().min(1),
  packSequence: z.int().min(1),
  samples: z
    .array(
      z.strictObject({
        channel: z.string(),
        quantity: quantitySchema,
        value: z.union([z.number(), z.boolean()]),
        atMs: z.number(),
        monotonicMs: z.number(),
        trustedClock: z.boolean(),
      }),
    )
    .min(1),
})

/** One line of a segment: a checksum, a space, the entry as JSON, a line feed. */
export function toStoredLine(entry: OutboxEntry): Buffer {
  const json = JSON.stringify(entry)
  return Buffer.from(`${checksum(json)} ${json}\n`)
}

/** The entry of a line without its line feed; null when the line is torn or otherwise not as it was written. */
export function parseStoredLine(line: Buffer): OutboxEntry | null {
  const text = line.toString('utf8')
  const json = text.slice(CHECKSUM_LETTERS + 1)
  if (text.slice(0, CHECKSUM_LETTERS) !== checksum(json)) return null
  const parsed = storedEntrySchema.safeParse(JSON.parse(json))
  return parsed.success ? parsed.data : null
}

const CHECKSUM_LETTERS = 8

function checksum(json: string): string {
  return createHash('sha256').update(json).digest('hex').slice(0, CHECKSUM_LETTERS)
}
