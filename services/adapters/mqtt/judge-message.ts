import { nameSchema } from '../../core/model/name.ts'
import type { JudgedMessage } from '../../core/model/ports/ingest.ts'
import { parseNodeTopic } from '../../core/model/topics.ts'
import { type Arrival, rejected } from './arrival.ts'
import { correctScales } from './correct-scales.ts'
import { judgeForeign } from './judge-foreign.ts'
import { judgePack } from './judge-pack.ts'
import type { MessageIndex } from './message-index.ts'
import { shown, toSample } from './reject.ts'

/** Payloads above this are not looked into. */
export const MAX_PAYLOAD_BYTES = 256 * 1024

/**
 * What of a message can be used, and what cannot and why. Never throws.
 *
 * JM-1 every record of a pack is a reading, the pack's mark, a repetition of a reading of the same pack, or a rejection.
 * JM-2 a wrong record spoils no other, unless it carries base fields or there are more than 16 that are no SenML.
 * JM-3 a node not in the settings is heard all the same: who may speak is the broker's to say.
 * JM-4 readings are in order of (atMs, sensorId, quantity), no two equal in all three.
 * JM-5 the mass of a scale that was calibrated on the page is what was sent x scale + offset, and must be possible.
 */
export function judgeMessage(arrival: Arrival, index: MessageIndex): JudgedMessage {
  const { topic, payload } = arrival
  if (payload.length > MAX_PAYLOAD_BYTES) {
    const reason = `the payload has ${payload.length} bytes, more than ${MAX_PAYLOAD_BYTES}: send smaller packs`
    return rejected(arrival, 'payloadTooLarge', reason)
  }
  if (topic === 'nightcap' || topic.startsWith('nightcap/')) return judgeOwnTopic(arrival, index)
  const bindings = index.bindingsOf(topic, arrival.deviceId ?? null)
  if (bindings.length === 0) {
    return rejected(
      arrival,
      'topicUnknown',
      'no sensor is bound to this topic: add a binding, or stop the device from publishing here',
    )
  }
  return arrival.retained ? rejectRetained(arrival) : judgeForeign(arrival, bindings)
}

function judgeOwnTopic(arrival: Arrival, { site, corrections }: MessageIndex): JudgedMessage {
  const to = parseNodeTopic(arrival.topic)
  if (!to)
    return rejected(
      arrival,
      'topicUnknown',
      'nodes publish to nightcap/v1/{site}/node/{node}/readings and .../status only',
    )
  if (to.site !== site) {
    return rejected(
      arrival,
      'otherSite',
      `the topic is of site ${shown(to.site)}, this is ${site}: correct the node's site`,
    )
  }
  const name = nameSchema.safeParse(to.node)
  if (!name.success) {
    const cure = name.error.issues[0]?.message ?? 'choose another name'
    return rejected(arrival, 'nodeUnknown', `${shown(to.node)} cannot be a node: ${cure}`)
  }
  if (to.kind === 'status') return judgeStatus(arrival, to.node)
  if (arrival.retained) return rejectRetained(arrival)
  return correctScales(judgePack(arrival, to.node), arrival, corrections)
}

function judgeStatus(arrival: Arrival, nodeId: string): JudgedMessage {
  const text = toSample(arrival.payload).trim()
  if (text !== 'online' && text !== 'offline') {
    return rejected(
      arrival,
      'valueWrong',
      `status is ${shown(text)}: publish online, and offline as the last will`,
    )
  }
  const { receivedMs } = arrival
  return { receivedMs, readings: null, status: { nodeId, online: text === 'online' }, rejections: [] }
}

function rejectRetained(arrival: Arrival): JudgedMessage {
  return rejected(
    arrival,
    'retainedReading',
    'a retained reading may be old: publish readings without the retain flag',
  )
}
