const PUBLISH = 3
const SAMPLE_BYTES = 1024

/** A packet longer than allowed, as far as it was seen. */
export interface OversizedPacket {
  readonly bytes: number
  /** The topic, if it is a PUBLISH and its topic had come whole. */
  readonly topic: string | null
  /** The first bytes of the payload that had come, at most 1 kB. */
  readonly payloadHead: Uint8Array
}

export interface GuardedChunk {
  /** How many bytes of the chunk stand before the oversized packet; all of them when there is none. */
  readonly soundBytes: number
  readonly oversized: OversizedPacket | null
}

/**
 * Watches the bytes of one connection for a packet longer than `maxBytes()` (MQTT 3.1.1 section 2.2.3, remaining
 * length), so that it can be cut when its length is announced, and not after 256 MB of it were gathered in memory.
 */
export function createPacketGuard({
  maxBytes,
}: {
  maxBytes: () => number
}): (chunk: Uint8Array) => GuardedChunk {
  let toSkip = 0
  let header = 0
  let lengthBytes = 0
  let length = 0
  let lost = false

  return (chunk) => {
    let packetFrom = 0
    for (let at = 0; at < chunk.length && !lost;) {
      if (toSkip > 0) {
        const step = Math.min(toSkip, chunk.length - at)
        toSkip -= step
        at += step
        continue
      }
      const byte = chunk[at++] ?? 0
      if (lengthBytes === 0 && header === 0) {
        packetFrom = at - 1
        header = byte | 0x100
        continue
      }
      length += (byte & 0x7f) * 128 ** lengthBytes++
      // A fifth length byte is malformed: the broker behind us ends such a connection by itself.
      if (byte & 0x80) lost = lengthBytes >= 4
      else {
        if (length > maxBytes()) return oversized(chunk, { packetFrom, at, header, length })
        toSkip = length
        header = lengthBytes = length = 0
      }
    }
    return { soundBytes: chunk.length, oversized: null }
  }
}

interface Seen {
  readonly packetFrom: number
  readonly at: number
  readonly header: number
  readonly length: number
}

function oversized(chunk: Uint8Array, { packetFrom, at, header, length }: Seen): GuardedChunk {
  const isPublish = ((header >> 4) & 0xf) === PUBLISH
  const topicBytes = ((chunk[at] ?? 0) << 8) | (chunk[at + 1] ?? 0)
  const topicEnd = at + 2 + topicBytes
  const topic =
    isPublish && topicEnd <= chunk.length ? new TextDecoder().decode(chunk.subarray(at + 2, topicEnd)) : null
  const qos = (header >> 1) & 3
  const payloadFrom = topicEnd + (qos > 0 ? 2 : 0)
  const payloadHead = topic === null ? new Uint8Array() : chunk.slice(payloadFrom, payloadFrom + SAMPLE_BYTES)
  return { soundBytes: packetFrom, oversized: { bytes: length, topic, payloadHead } }
}
