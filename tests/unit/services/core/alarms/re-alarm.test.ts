import { describe, expect, it } from 'vitest'
import { aroseTimes, isRestless, isSeenStill, reopens } from '../../../../../services/core/alarms/re-alarm.ts'

const MIN = 60_000
const act = (atMs: number) => ({ actorId: 'ana', via: 'phone' as const, atMs })

describe('a condition that comes and goes', () => {
  it('REALARM-1 opens its alarm again within 30 minutes of its end, and not one that is not over', () => {
    expect(reopens({ state: 'normal', returnedMs: 0 }, 30 * MIN)).toBe(true)
    expect(reopens({ state: 'normal', returnedMs: 0 }, 30 * MIN + 1)).toBe(false)
    expect(reopens({ state: 'returnedUnacknowledged', returnedMs: 0 }, 1)).toBe(false)
  })
  it('REALARM-2 who took it on within the hour, while it held, is on it still', () => {
    const before = { acknowledged: act(0), returnedMs: 40 * MIN, urgency: 'beforeOpening' as const }
    const same = { urgency: 'beforeOpening' as const }
    expect(isSeenStill(before, same, 60 * MIN)).toBe(true)
    expect(isSeenStill(before, same, 60 * MIN + 1)).toBe(false)
    expect(isSeenStill(before, { urgency: 'now' }, 60 * MIN)).toBe(false)
    expect(isSeenStill(before, { urgency: 'today' }, 60 * MIN)).toBe(true)
    expect(isSeenStill({ ...before, acknowledged: null }, same, 41 * MIN)).toBe(false)
    // "I saw it" of what was over says nothing of its coming back.
    expect(isSeenStill({ ...before, acknowledged: act(41 * MIN) }, same, 45 * MIN)).toBe(false)
  })
  it('REALARM-3 is restless when it arose three times within 30 minutes', () => {
    expect(isRestless(aroseTimes([0, 10 * MIN], 30 * MIN), 30 * MIN)).toBe(true)
    expect(isRestless(aroseTimes([0, 10 * MIN], 30 * MIN), 31 * MIN)).toBe(false)
    expect(isRestless(aroseTimes([0], 1), 1)).toBe(false)
    expect(aroseTimes([0, 1, 2], 3)).toEqual([1, 2, 3])
  })
})
