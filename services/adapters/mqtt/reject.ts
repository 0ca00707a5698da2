import type { Rejection, RejectionCode } from '../../core/model/rejection.ts'

const SAMPLE_BYTES = 1024
const TOPIC_LETTERS = 200

/** At most 1 kB of a payload, as text; bytes that are not UTF-8 show as U+FFFD. */
export function toSample(payload: Uint8Array): string {
  return cutToSample(new TextDecoder().decode(payload.subarray(0, SAMPLE_BYTES)))
}

/** The beginning of a text that fits into 1 kB of UTF-8; never half a character. */
export function cutToSample(text: string): string {
  const { read } = new TextEncoder().encodeInto(text, new Uint8Array(SAMPLE_BYTES))
  return text.slice(0, read)
}

export function toRejection(topic: string, code: RejectionCode, reason: string, sample: string): Rejection {
  return { topic: topic.slice(0, TOPIC_LETTERS), code, reason, sample }
}

/** An offending value as it may stand in a reason: cut short, on one line. */
export function shown(value: unknown): string {
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value)
  return text.length > 60 ? `${text.slice(0, 60)}...` : text
}
