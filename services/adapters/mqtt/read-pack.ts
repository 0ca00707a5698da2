import { parseSenml, type ResolvedRecord } from '../../codecs/senml.ts'
import type { RejectionCode } from '../../core/model/rejection.ts'
import { cutToSample } from './reject.ts'

/** Something of a pack that cannot be used: the whole, or one record. */
export interface PackRefusal {
  readonly code: RejectionCode
  readonly reason: string
  /** The record as it was sent; null for the whole payload. */
  readonly sample: string | null
}

export interface ReadPack {
  readonly records: readonly ResolvedRecord[]
  readonly refusals: readonly PackRefusal[]
}

/** A sound record takes 25 bytes at least, so no sound pack of 256 kB holds more. */
const MAX_RECORDS = 10_000
/** Each wrong record costs another reading of its pack. Beyond this the pack is refused whole. */
const MAX_WRONG_RECORDS = 16
const UTF8 = new TextDecoder('utf-8', { fatal: true })
const BASE_FIELDS: readonly string[] = ['bn', 'bt', 'bu', 'bv', 'bs', 'bver']

/** The records of a SenML payload. The codec refuses a pack for one wrong record; here that record alone is set aside. */
export function readPack(payload: Uint8Array, nowMs: number): ReadPack {
  const parsed = parseJson(payload)
  if ('code' in parsed) return { records: [], refusals: [parsed] }
  if (Array.isArray(parsed.json) && parsed.json.length > MAX_RECORDS) {
    return wholly(
      'payloadTooLarge',
      `the pack has ${parsed.json.length} records, more than ${MAX_RECORDS}: send smaller packs`,
    )
  }
  return readRecords(parsed.json, nowMs)
}

function readRecords(json: unknown, nowMs: number): ReadPack {
  const refusals: PackRefusal[] = []
  let pack: unknown = json
  for (;;) {
    const result = parseSenml(pack, { nowMs })
    if (result.ok) return { records: result.records, refusals }
    const place = /^\[(\d+)\](?:\.(.*))?$/.exec(result.field)
    const at = place ? Number(place[1]) : -1
    const record = Array.isArray(pack) ? (pack as unknown[])[at] : undefined
    // Counted in the pack as it was sent: all that was set aside stood before.
    const field = place ? result.field.replace(/\d+/, String(at + refusals.length)) : result.field
    const reason = field === '' ? result.reason : `${field}: ${result.reason}`
    // What follows in the pack builds on base fields: where one is wrong, nothing after it can be trusted.
    const spoilsRest = BASE_FIELDS.includes(place?.[2] ?? '') || holdsBaseField(record)
    if (!Array.isArray(pack) || !place || spoilsRest || refusals.length >= MAX_WRONG_RECORDS)
      return wholly('notSenml', reason)
    refusals.push({
      code: result.field.endsWith('.v') ? 'valueWrong' : 'notSenml',
      reason,
      sample: recordSample(record),
    })
    pack = (pack as unknown[]).toSpliced(at, 1)
    if ((pack as unknown[]).length === 0) return { records: [], refusals }
  }
}

function holdsBaseField(record: unknown): boolean {
  return (
    typeof record === 'object' && record !== null && BASE_FIELDS.some((label) => Object.hasOwn(record, label))
  )
}

function wholly(code: RejectionCode, reason: string): ReadPack {
  return { records: [], refusals: [{ code, reason, sample: null }] }
}

function parseJson(payload: Uint8Array): { readonly json: unknown } | PackRefusal {
  let text: string
  try {
    text = UTF8.decode(payload)
  } catch {
    return {
      code: 'notJson',
      reason: 'the payload is not UTF-8 text: send SenML as JSON, not CBOR or a number alone',
      sample: null,
    }
  }
  try {
    return { json: JSON.parse(text) as unknown }
  } catch {
    const cure = /\b(NaN|Infinity)\b/.test(text)
      ? 'JSON has no NaN or Infinity: leave out a record without a value'
      : 'send one JSON array of SenML records'
    return { code: 'notJson', reason: `the payload is not JSON: ${cure}`, sample: null }
  }
}

function recordSample(record: unknown): string {
  try {
    return cutToSample(JSON.stringify(record))
  } catch {
    return 'a record nested too deeply to show'
  }
}
