import { expect } from 'vitest'
import type { NodeClock } from '../../sensors/node-clock.ts'
import type { Outbox, OutboxEntry, OutboxLimits } from '../../sensors/outbox/outbox.ts'
import { createHandClock, type HandClock, sampleNow } from '../parts/node-clock.ts'

/** Makes an empty outbox. */
export type MakeOutbox = (options: { limits: OutboxLimits; clock: NodeClock }) => Outbox

export interface OutboxCase {
  readonly rule: string
  readonly name: string
  readonly check: (make: MakeOutbox) => void
}

const NOW_MS = Date.UTC(2026, 0, 5)
const ROOMY: OutboxLimits = { maxBytes: 1_000_000, maxAgeMs: 3_600_000 }

function append(outbox: Outbox, clock: HandClock, packSequence: number): void {
  outbox.append({ bootId: clock.bootId, packSequence, samples: [sampleNow(clock)] })
}

function all(outbox: Outbox, afterId = 0): readonly OutboxEntry[] {
  return outbox.peek({ afterId, limit: 1000 })
}

function sequences(outbox: Outbox): readonly number[] {
  return all(outbox).map((e) => e.packSequence)
}

function filled(make: MakeOutbox, count: number, limits = ROOMY): { outbox: Outbox; clock: HandClock } {
  const clock = createHandClock({ nowMs: NOW_MS })
  const outbox = make({ limits, clock })
  for (let n = 1; n <= count; n++) append(outbox, clock, n)
  return { outbox, clock }
}

/** What every outbox does. */
export const outboxContract: readonly OutboxCase[] = [
  {
    rule: 'OUTBOX-1',
    name: 'what was appended is there, whole, in the order in which it came',
    check: (make) => {
      const { outbox, clock } = filled(make, 3)
      expect(sequences(outbox)).toEqual([1, 2, 3])
      expect(all(outbox)[0]).toMatchObject({ bootId: 'b0b0', samples: [sampleNow(clock)] })
      expect(outbox.stats()).toMatchObject({ waitingPacks: 3, droppedPacks: 0, tornLines: 0 })
      expect(outbox.stats().waitingBytes).toBeGreaterThan(0)
    },
  },
  {
    rule: 'OUTBOX-2',
    name: 'peek gives the next after an id, no more than asked, and removes nothing',
    check: (make) => {
      const { outbox } = filled(make, 5)
      const [first, second] = outbox.peek({ afterId: 0, limit: 2 })
      expect([first?.packSequence, second?.packSequence]).toEqual([1, 2])
      expect(outbox.peek({ afterId: second?.id ?? 0, limit: 2 }).map((e) => e.packSequence)).toEqual([3, 4])
      expect(outbox.peek({ afterId: 0, limit: 0 })).toEqual([])
      expect(outbox.stats().waitingPacks).toBe(5)
    },
  },
  {
    rule: 'OUTBOX-3',
    name: 'remove takes out that one and no other, in any order, and is harmless twice',
    check: (make) => {
      const { outbox } = filled(make, 4)
      const ids = all(outbox).map((e) => e.id)
      outbox.remove(ids[2] ?? 0)
      outbox.remove(ids[0] ?? 0)
      outbox.remove(ids[0] ?? 0)
      outbox.remove(987_654)
      expect(sequences(outbox)).toEqual([2, 4])
      expect(outbox.stats()).toMatchObject({ waitingPacks: 2, droppedPacks: 0 })
      outbox.remove(ids[1] ?? 0)
      outbox.remove(ids[3] ?? 0)
      expect(outbox.stats()).toMatchObject({ waitingPacks: 0, waitingBytes: 0 })
    },
  },
  {
    rule: 'OUTBOX-4',
    name: 'the oldest pack goes first when the box is full, and is counted',
    check: (make) => {
      const { outbox, clock } = filled(make, 1)
      const one = outbox.stats().waitingBytes
      const small = make({ limits: { ...ROOMY, maxBytes: one * 3 + 20 }, clock })
      for (let n = 1; n <= 9; n++) append(small, clock, n)
      expect(sequences(small)).toEqual([7, 8, 9])
      expect(small.stats()).toMatchObject({ waitingPacks: 3, droppedPacks: 6 })
    },
  },
  {
    rule: 'OUTBOX-4',
    name: 'a pack that has grown too old goes, at the next look as well as at the next append',
    check: (make) => {
      const { outbox, clock } = filled(make, 2)
      clock.advance(ROOMY.maxAgeMs - 1000)
      append(outbox, clock, 3)
      expect(sequences(outbox)).toEqual([1, 2, 3])
      clock.advance(1001)
      expect(sequences(outbox)).toEqual([3])
      clock.advance(ROOMY.maxAgeMs)
      append(outbox, clock, 4)
      expect(outbox.stats()).toMatchObject({ waitingPacks: 1, droppedPacks: 3 })
    },
  },
  {
    rule: 'OUTBOX-4',
    name: 'age under a wrong clock is monotonic, and a clock that becomes right ages nothing',
    check: (make) => {
      const clock = createHandClock({ nowMs: 5000 })
      const outbox = make({ limits: ROOMY, clock })
      outbox.append({
        bootId: clock.bootId,
        packSequence: 1,
        samples: [sampleNow(clock, { trustedClock: false })],
      })
      clock.advance(60_000)
      clock.setWall(NOW_MS)
      expect(sequences(outbox)).toEqual([1])
      clock.advance(ROOMY.maxAgeMs)
      expect(sequences(outbox)).toEqual([])
      expect(outbox.stats().droppedPacks).toBe(1)
    },
  },
  {
    rule: 'OUTBOX-4',
    name: 'a pack of an earlier boot whose clock was wrong can be dated by nobody, and goes',
    check: (make) => {
      const { outbox, clock } = filled(make, 0)
      outbox.append({
        bootId: 'earlier',
        packSequence: 8,
        samples: [sampleNow(clock, { trustedClock: false })],
      })
      outbox.append({ bootId: 'earlier', packSequence: 9, samples: [sampleNow(clock)] })
      expect(sequences(outbox)).toEqual([9])
      expect(outbox.stats().droppedPacks).toBe(1)
    },
  },
  {
    rule: 'OUTBOX-5',
    name: 'drop takes one out and counts it, once',
    check: (make) => {
      const { outbox } = filled(make, 2)
      const id = all(outbox)[0]?.id ?? 0
      outbox.drop(id)
      outbox.drop(id)
      expect(sequences(outbox)).toEqual([2])
      expect(outbox.stats().droppedPacks).toBe(1)
    },
  },
  {
    rule: 'OUTBOX-6',
    name: 'a pack without samples is a mistake of ours',
    check: (make) => {
      const { outbox } = filled(make, 0)
      expect(() => outbox.append({ bootId: 'b', packSequence: 1, samples: [] })).toThrow(RangeError)
      expect(outbox.stats().waitingPacks).toBe(0)
    },
  },
]
