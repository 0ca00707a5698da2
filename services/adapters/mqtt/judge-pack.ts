import type { ResolvedRecord } from '../../codecs/senml.ts'
import type { Reading } from '../../core/model/input.ts'
import type { JudgedMessage } from '../../core/model/ports/ingest.ts'
import type { Rejection } from '../../core/model/rejection.ts'
import type { Arrival } from './arrival.ts'
import { type Refusal, toNodeReading } from './judge-record.ts'
import { isMarkRecord, toPackMark } from './pack-mark.ts'
import { readPack } from './read-pack.ts'
import { cutToSample, toRejection, toSample } from './reject.ts'

/** Judges a node's SenML pack record by record. */
export function judgePack(arrival: Arrival, nodeId: string): JudgedMessage {
  const { topic, payload, receivedMs } = arrival
  const { records, refusals } = readPack(payload, receivedMs)
  const rejections: Rejection[] = refusals.map(({ code, reason, sample }) =>
    toRejection(topic, code, reason, sample ?? toSample(payload)),
  )
  const refuse = ({ code, reason, aheadMs }: Refusal, record: ResolvedRecord): void => {
    const rejection = toRejection(topic, code, reason, cutToSample(JSON.stringify(record)))
    rejections.push(aheadMs === undefined ? rejection : { ...rejection, aheadMs })
  }

  const { pack, refused } = toPackMark(records, nodeId)
  for (const { record, refusal } of refused) refuse(refusal, record)
  const measured: Measured[] = []
  for (const record of records) {
    if (isMarkRecord(record, nodeId)) continue
    const outcome = toNodeReading(record, { nodeId, receivedMs })
    if ('code' in outcome) refuse(outcome, record)
    else measured.push({ reading: outcome, record })
  }
  const { kept, conflicts } = inOrderOnce(measured)
  for (const { record } of conflicts) {
    refuse(
      {
        code: 'valueWrong',
        reason: `${record.name} has two values for one time: give each reading its own time`,
      },
      record,
    )
  }
  const heard = pack !== null || kept.length > 0
  return {
    receivedMs,
    readings: heard
      ? { nodeId, pack, readings: kept.map((m) => m.reading), intervalMsOf: intervalsOf(kept) }
      : null,
    status: null,
    rejections,
  }
}

interface Measured {
  readonly reading: Reading
  readonly record: ResolvedRecord
}

/** In order of (atMs, sensorId, quantity); of equal ones the first, of those that differ in value alone the first too. */
function inOrderOnce(measured: readonly Measured[]): {
  kept: readonly Measured[]
  conflicts: readonly Measured[]
} {
  const sorted = measured.toSorted(
    ({ reading: a }, { reading: b }) =>
      a.atMs - b.atMs || compare(a.sensorId, b.sensorId) || compare(a.quantity, b.quantity),
  )
  const kept: Measured[] = []
  const conflicts: Measured[] = []
  for (const one of sorted) {
    const before = kept.at(-1)?.reading
    const { reading } = one
    const same =
      before &&
      before.atMs === reading.atMs &&
      before.sensorId === reading.sensorId &&
      before.quantity === reading.quantity
    if (!same) kept.push(one)
    else if (before.value !== reading.value) conflicts.push(one)
  }
  return { kept, conflicts }
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

/** `ut` of 0 promises nothing. */
function intervalsOf(kept: readonly Measured[]): ReadonlyMap<string, number> {
  const intervals = new Map<string, number>()
  for (const { record } of kept) {
    const ms = Math.round((record.updateWithinS ?? 0) * 1000)
    if (ms > 0 && Number.isSafeInteger(ms)) intervals.set(record.name, ms)
  }
  return intervals
}
