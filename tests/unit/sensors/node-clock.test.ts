import { describe, expect, it } from 'vitest'
import { createSystemNodeClock, dateSample, isTrusted } from '../../../sensors/node-clock.ts'
import { createHandClock, sampleNow } from '../../parts/node-clock.ts'

const NOON_MS = Date.UTC(2026, 2, 1, 12)

describe('dating a sample', () => {
  it('DATE-1 a time from a right wall clock stands, in every boot', () => {
    const clock = createHandClock({ nowMs: NOON_MS })
    const sample = sampleNow(clock)
    clock.advance(5000)
    expect(dateSample(sample, 'another', clock)).toEqual({ kind: 'absolute', atMs: NOON_MS })
  })

  it('DATE-2 one from a wrong clock is so long ago, and gets its date once the clock is right', () => {
    const clock = createHandClock({ nowMs: 4000, monotonicMs: 100 })
    const sample = sampleNow(clock, { trustedClock: false })
    clock.advance(7000)
    expect(dateSample(sample, clock.bootId, clock)).toEqual({ kind: 'ago', agoMs: 7000 })
    clock.setWall(NOON_MS)
    clock.advance(3000)
    expect(dateSample(sample, clock.bootId, clock)).toEqual({ kind: 'absolute', atMs: NOON_MS - 7000 })
  })

  it('DATE-3 after another start nobody can tell', () => {
    const clock = createHandClock({ nowMs: NOON_MS })
    expect(dateSample(sampleNow(clock, { trustedClock: false }), 'earlier', clock)).toEqual({
      kind: 'unknown',
    })
  })

  it('DATE-4 a wall clock is wrong before 2024', () => {
    expect(isTrusted(Date.UTC(2023, 11, 31, 23, 59, 59))).toBe(false)
    expect(isTrusted(Date.UTC(2024, 0, 1))).toBe(true)
  })

  it('DATE-5 every start has its own boot id, fit for a SenML text', () => {
    const [a, b] = [createSystemNodeClock().bootId, createSystemNodeClock().bootId]
    expect(a).toMatch(/^[0-9a-f]{16}$/)
    expect(a).not.toBe(b)
  })
})
