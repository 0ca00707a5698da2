import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  createPacketGuard,
  type OversizedPacket,
} from '../../../../../services/adapters/mqtt/packet-guard.ts'

/** A PUBLISH of QoS 1 as MQTT 3.1.1 section 3.3 lays it out. */
function publish(topic: string, payloadBytes: number): Uint8Array {
  const length = 2 + topic.length + 2 + payloadBytes
  const remaining: number[] = []
  for (let rest = length; ;) {
    const digit = rest % 128
    rest = Math.floor(rest / 128)
    remaining.push(rest > 0 ? digit | 0x80 : digit)
    if (rest === 0) break
  }
  const head = [0x32, ...remaining, topic.length >> 8, topic.length & 0xff, ...Buffer.from(topic), 0, 1]
  return Buffer.concat([Buffer.from(head), Buffer.alloc(payloadBytes, 'x')])
}

const PINGREQ = Buffer.from([0xc0, 0])

function feed(
  bytes: Uint8Array,
  chunkBytes: number,
  maxBytes = 1_000,
): { sound: number; oversized: OversizedPacket | null } {
  const guard = createPacketGuard({ maxBytes: () => maxBytes })
  let sound = 0
  for (let at = 0; at < bytes.length; at += chunkBytes) {
    const { soundBytes, oversized } = guard(bytes.subarray(at, at + chunkBytes))
    sound += soundBytes
    if (oversized) return { sound, oversized }
  }
  return { sound, oversized: null }
}

describe('createPacketGuard', () => {
  it('names length, topic and the beginning of the payload of a packet that is too long', () => {
    const sound = publish('a/b', 100)
    const { sound: bytes, oversized } = feed(
      Buffer.concat([PINGREQ, sound, publish('big/one', 10_000_000)]),
      65_536,
    )
    expect(bytes).toBe(PINGREQ.length + sound.length)
    expect(oversized).toMatchObject({ bytes: 10_000_011, topic: 'big/one' })
    expect(oversized?.payloadHead.length).toBe(1024)
  })

  it('finds it at its first bytes, long before it has come whole', () => {
    expect(feed(publish('big/one', 10_000_000).subarray(0, 20), 20).oversized).toMatchObject({
      topic: 'big/one',
    })
  })

  it('sees the same packets however the bytes are cut', () => {
    let refused = 0
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 1_200 }), { minLength: 1, maxLength: 6 }),
        fc.integer({ min: 1, max: 700 }),
        (sizes, chunkBytes) => {
          const packets = sizes.map((n) => publish('t', n))
          const firstBig = packets.findIndex((_, i) => (sizes[i] ?? 0) + 5 > 1_000)
          const { oversized } = feed(Buffer.concat(packets), chunkBytes)
          if (firstBig >= 0) refused++
          expect(oversized?.bytes ?? null).toBe(firstBig < 0 ? null : (sizes[firstBig] ?? 0) + 5)
        },
      ),
      { numRuns: 300 },
    )
    expect(refused).toBeGreaterThan(50)
  })

  it('leaves a malformed length to the broker, and looks at nothing after it', () => {
    const malformed = Buffer.from([0x32, 0xff, 0xff, 0xff, 0xff, 0x7f])
    expect(feed(Buffer.concat([malformed, publish('big', 5_000)]), 50).oversized).toBeNull()
  })
})
