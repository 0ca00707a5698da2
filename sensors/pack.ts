import type { SenmlPack, SenmlRecord } from '../services/codecs/senml.ts'
import { UNIT_OF_QUANTITY } from '../services/core/model/quantity.ts'
import { dateSample, type NodeClock } from './node-clock.ts'
import type { WaitingPack } from './outbox/outbox.ts'
import type { Sample } from './sample.ts'

/** Names of the records that a node adds to each pack; no channel may have one. */
export const PACK_RECORD_NAMES = ['pack-sequence', 'boot', 'uptime', 'dropped'] as const

export interface PackContext {
  readonly node: string
  /** How often the node measures; the promised longest time to the next value follows from it. */
  readonly everyMs: number
  readonly clock: NodeClock
  /** Packs that the outbox has had to throw away so far. */
  readonly droppedPacks: number
}

/**
 * The SenML pack of waiting samples, dated as well as it can be at this moment, or null when none of them can be.
 * Build it when it is sent, not before: times of a clock that was wrong at measuring change with every moment.
 *
 * PACKED-1 records are named by channel below `{node}/`, each in the unit of its quantity, `powered` as yes or no.
 * PACKED-2 `pack-sequence`, `boot` and `uptime` (monotonic s at the pack's base time) stand in every pack, `dropped`
 *          only when packs were dropped.
 * PACKED-3 where the wall clock is still wrong, times are relative: so many seconds before now.
 */
export function packSenml(
  pack: WaitingPack,
  { node, everyMs, clock, droppedPacks }: PackContext,
): SenmlPack | null {
  const dated = pack.samples.flatMap((sample) => {
    const timeS = toSenmlTimeS(sample, pack.bootId, clock)
    return timeS === null ? [] : [{ sample, timeS }]
  })
  const [first] = dated
  if (!first) return null
  const ut = Math.ceil(everyMs / 1000)
  const [head, ...others] = dated.map(({ sample, timeS }) => toRecord(sample, timeS - first.timeS, ut))
  return [
    { bn: `${node}/`, bt: first.timeS, ...head },
    ...others,
    { n: 'pack-sequence', v: pack.packSequence },
    { n: 'boot', vs: pack.bootId },
    { n: 'uptime', u: 's', v: toWholeMs(first.sample.monotonicMs / 1000) },
    ...(droppedPacks > 0 ? [{ n: 'dropped', v: droppedPacks }] : []),
  ]
}

function toRecord({ channel, quantity, value }: Sample, sinceBaseS: number, ut: number): SenmlRecord {
  const t = toWholeMs(sinceBaseS)
  const time = t === 0 ? undefined : { t }
  if (quantity === 'powered') return { n: channel, ...time, vb: Boolean(value), ut }
  return { n: channel, u: UNIT_OF_QUANTITY[quantity], ...time, v: Number(value), ut }
}

function toSenmlTimeS(sample: Sample, bootId: string, clock: NodeClock): number | null {
  const dating = dateSample(sample, bootId, clock)
  if (dating.kind === 'unknown') return null
  return (dating.kind === 'absolute' ? Math.round(dating.atMs) : -Math.round(dating.agoMs)) / 1000
}

/** Seconds to whole ms, so that differences of large numbers do not print as 0.0009999275. */
function toWholeMs(seconds: number): number {
  return Math.round(seconds * 1000) / 1000
}
