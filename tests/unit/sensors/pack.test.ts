import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { packSenml } from '../../../sensors/pack.ts'
import type { Sample } from '../../../sensors/sample.ts'
import { parseSenml, type ResolvedRecord, toSenmlJson } from '../../../services/codecs/senml.ts'
import { QUANTITIES, UNIT_OF_QUANTITY } from '../../../services/core/model/quantity.ts'
import { createHandClock, type HandClock, sampleNow } from '../../parts/node-clock.ts'

const NOON_MS = Date.UTC(2026, 2, 1, 12)

function heard(
  samples: readonly Sample[],
  clock: HandClock,
  change: { bootId?: string; droppedPacks?: number } = {},
): readonly ResolvedRecord[] {
  const waiting = { bootId: change.bootId ?? clock.bootId, packSequence: 7, samples }
  const pack = packSenml(waiting, {
    node: 'bench',
    everyMs: 1500,
    clock,
    droppedPacks: change.droppedPacks ?? 0,
  })
  if (!pack) throw new Error('nothing could be dated')
  const result = parseSenml(toSenmlJson(pack), { nowMs: clock.nowMs() })
  if (!result.ok) throw new Error(`${result.field}: ${result.reason}`)
  return result.records
}

describe('a pack', () => {
  it('PACKED-1 names each channel below its node, in the unit of its quantity, powered as yes or no', () => {
    const clock = createHandClock({ nowMs: NOON_MS })
    const values = {
      humidity: 41.25,
      temperature: 21,
      mass: 1.5,
      power: 300,
      powered: true,
      voltage: 230,
      current: 1.3,
    }
    const samples = QUANTITIES.map((q) =>
      sampleNow(clock, { channel: `a-${q}`, quantity: q, value: values[q] }),
    )
    const records = heard(samples, clock).slice(0, samples.length)
    expect(records).toEqual(
      QUANTITIES.map((q) => ({
        name: `bench/a-${q}`,
        ...(q === 'powered' ? {} : { unit: UNIT_OF_QUANTITY[q] }),
        atMs: NOON_MS,
        value: q === 'powered' ? { kind: 'boolean', v: true } : { kind: 'number', v: values[q] },
        updateWithinS: 2,
      })),
    )
  })

  it('PACKED-2 carries its number, boot and uptime, and the drops only when there were some', () => {
    const clock = createHandClock({ nowMs: NOON_MS, monotonicMs: 12_345.6, bootId: 'c0ffee' })
    const own = (records: readonly ResolvedRecord[]): object =>
      Object.fromEntries(records.slice(1).map((r) => [r.name, r.value.v]))
    const marks = { 'bench/pack-sequence': 7, 'bench/boot': 'c0ffee', 'bench/uptime': 12.346 }
    expect(own(heard([sampleNow(clock)], clock))).toEqual(marks)
    expect(own(heard([sampleNow(clock)], clock, { droppedPacks: 3 }))).toEqual({
      ...marks,
      'bench/dropped': 3,
    })
  })

  it('PACKED-3 under a wrong clock times are relative, and resolve by the clock of whoever hears them', () => {
    const clock = createHandClock({ nowMs: 9000 })
    const first = sampleNow(clock, { trustedClock: false })
    clock.advance(250)
    const second = sampleNow(clock, { trustedClock: false, channel: 'door' })
    clock.advance(60_000)
    const waiting = { bootId: clock.bootId, packSequence: 1, samples: [first, second] }
    const pack = packSenml(waiting, { node: 'bench', everyMs: 1000, clock, droppedPacks: 0 })
    expect(pack?.[0]?.bt).toBe(-60.25)
    expect(pack?.[1]?.t).toBe(0.25)
    const result = parseSenml(pack, { nowMs: NOON_MS })
    expect(result.ok && result.records.map((r) => r.atMs - NOON_MS)).toEqual([
      -60_250, -60_000, -60_250, -60_250, -60_250,
    ])
  })

  it('PACKED-4 once the clock is right, a waiting pack of the same boot gets its date', () => {
    const clock = createHandClock({ nowMs: 9000 })
    const sample = sampleNow(clock, { trustedClock: false })
    clock.advance(30_000)
    clock.setWall(NOON_MS)
    expect(heard([sample], clock)[0]?.atMs).toBe(NOON_MS - 30_000)
  })

  it('PACKED-5 what nobody can date is left out; nothing left is no pack', () => {
    const clock = createHandClock({ nowMs: NOON_MS })
    const lost = sampleNow(clock, { trustedClock: false })
    const records = heard([lost, sampleNow(clock, { channel: 'door' })], clock, { bootId: 'earlier' })
    expect(records.map((r) => r.name)).toEqual([
      'bench/door',
      'bench/pack-sequence',
      'bench/boot',
      'bench/uptime',
    ])
    const context = { node: 'bench', everyMs: 1000, clock, droppedPacks: 0 }
    expect(packSenml({ bootId: 'earlier', packSequence: 1, samples: [lost] }, context)).toBeNull()
  })

  it('PACKED-6 whatever the clocks do, what is heard is what was measured, to the ms', () => {
    let redated = 0
    let mixed = 0
    const plan = fc.array(
      fc.record({ waitMs: fc.integer({ min: 0, max: 100_000 }), trusted: fc.boolean() }),
      { minLength: 1, maxLength: 8 },
    )
    fc.assert(
      fc.property(
        plan,
        fc.boolean(),
        fc.double({ min: -1e4, max: 1e4, noNaN: true }),
        (steps, rightAtEnd, value) => {
          const clock = createHandClock({ nowMs: NOON_MS })
          const truth: number[] = []
          const samples = steps.map(({ waitMs, trusted }, i) => {
            clock.advance(waitMs)
            truth.push(clock.nowMs())
            const sample = sampleNow(clock, { channel: `c${i}`, quantity: 'mass', value })
            return trusted ? sample : { ...sample, atMs: 5000, trustedClock: false }
          })
          clock.advance(1000)
          const endMs = clock.nowMs()
          if (!rightAtEnd) clock.setWall(5000)
          const waiting = { bootId: clock.bootId, packSequence: 1, samples }
          const pack = packSenml(waiting, { node: 'n', everyMs: 1000, clock, droppedPacks: 0 })
          const result = parseSenml(toSenmlJson(pack ?? []), { nowMs: endMs })
          expect(result).toMatchObject({ ok: true })
          if (!result.ok) return
          if (rightAtEnd && steps.some((s) => !s.trusted)) redated++
          if (new Set(steps.map((s) => s.trusted)).size > 1) mixed++
          const readings = result.records.slice(0, samples.length)
          expect(readings.map((r) => r.atMs)).toEqual(truth)
          expect(readings.every((r) => r.value.v === value)).toBe(true)
        },
      ),
    )
    expect(redated).toBeGreaterThan(0)
    expect(mixed).toBeGreaterThan(0)
  })
})
