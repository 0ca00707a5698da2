import type { ResolvedRecord } from '../../codecs/senml.ts'
import { type PackMark, packMarkSchema } from '../../core/model/input.ts'
import type { Refusal } from './judge-record.ts'

/** Records by which a node speaks of the pack itself, each under its own name. They are no sensors. */
const MARK_RECORDS = ['pack-sequence', 'boot', 'uptime', 'dropped'] as const
type MarkRecord = (typeof MARK_RECORDS)[number]

export interface ReadMark {
  readonly pack: PackMark | null
  readonly refused: readonly { readonly record: ResolvedRecord; readonly refusal: Refusal }[]
}

function markOf({ name }: ResolvedRecord, nodeId: string): MarkRecord | null {
  if (!name.startsWith(`${nodeId}/`)) return null
  const own = name.slice(nodeId.length + 1)
  return MARK_RECORDS.find((known) => known === own) ?? null
}

export function isMarkRecord(record: ResolvedRecord, nodeId: string): boolean {
  return markOf(record, nodeId) !== null
}

/**
 * The pack's mark, from the records of its node.
 *
 * PM-1 boot and pack-sequence make a mark together; dropped is 0 where it is not sent.
 * PM-2 where they make none, each of them is refused: the readings count, but a lost pack will not show.
 */
export function toPackMark(records: readonly ResolvedRecord[], nodeId: string): ReadMark {
  const found = new Map<MarkRecord, ResolvedRecord>()
  const refused: { record: ResolvedRecord; refusal: Refusal }[] = []
  for (const record of records) {
    const mark = markOf(record, nodeId)
    if (mark === null) continue
    const wrong = found.has(mark)
      ? `${record.name} stands twice in the pack: send it once`
      : whyNotMark(mark, record)
    if (wrong !== null) refused.push({ record, refusal: { code: 'valueWrong', reason: wrong } })
    else found.set(mark, record)
  }
  const sequence = found.get('pack-sequence')
  const boot = found.get('boot')
  if (!sequence && !boot) return { pack: null, refused }
  const parsed = packMarkSchema.safeParse({
    bootId: boot?.value.v,
    packSequence: sequence?.value.v,
    droppedPacks: found.get('dropped')?.value.v,
  })
  if (parsed.success) return { pack: parsed.data, refused }
  const reason = 'pack-sequence and boot make sense only together: send both with every pack'
  for (const record of [sequence, boot])
    if (record) refused.push({ record, refusal: { code: 'valueWrong', reason } })
  return { pack: null, refused }
}

function whyNotMark(mark: MarkRecord, { name, value }: ResolvedRecord): string | null {
  const number = value.kind === 'number' ? value.v : NaN
  switch (mark) {
    case 'boot':
      return value.kind === 'string' && value.v.length >= 1 && value.v.length <= 64
        ? null
        : `${name} must be text of 1 to 64 letters in vs, another after each start`
    case 'pack-sequence':
      return Number.isSafeInteger(number) && number >= 1
        ? null
        : `${name} must be a whole number from 1 in v, one more with each pack`
    case 'dropped':
      return Number.isSafeInteger(number) && number >= 0 ? null : `${name} must be a whole number from 0 in v`
    case 'uptime':
      return number >= 0 ? null : `${name} must be seconds from 0 in v`
  }
}
