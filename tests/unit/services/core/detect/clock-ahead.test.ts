import { describe, expect, it } from 'vitest'
import {
  clockAheadDeadlineMs,
  fireClockAhead,
  initialClockAhead,
  noteRefused,
} from '../../../../../services/core/detect/clock-ahead.ts'
import type { Finding } from '../../../../../services/core/detect/detector.ts'

const MINUTE = 60_000
const RULE = { times: 3, withinMs: 10 * MINUTE }

/** Refusals at these minutes, each 180 s ahead unless told; deadlines before each are fired, then all that come by the end. */
function run(refused: readonly (readonly [number, number?])[], untilMin = 1000): Finding[] {
  const state = initialClockAhead()
  const found: Finding[] = []
  const fire = (beforeMs: number): void => {
    for (let at = clockAheadDeadlineMs(state, RULE); at < beforeMs; at = clockAheadDeadlineMs(state, RULE)) {
      found.push(fireClockAhead(state, at))
    }
  }
  for (const [minute, aheadS = 180] of refused) {
    fire(minute * MINUTE)
    const finding = noteRefused(state, { receivedMs: minute * MINUTE, aheadMs: aheadS * 1000 }, RULE)
    if (finding) found.push(finding)
    expect(JSON.parse(JSON.stringify(state))).toEqual(state)
  }
  fire(untilMin * MINUTE)
  return found
}

describe('clock ahead', () => {
  it('CLOCK-1 the third refusal within ten minutes opens, dated to the first', () => {
    expect(run([[1], [4], [8, 240]], 9)).toEqual([
      { type: 'opened', fromMs: MINUTE, openedMs: 8 * MINUTE, value: 240, worst: 240 },
    ])
  })
  it('CLOCK-1 two refusals open nothing, nor do three over more than ten minutes', () => {
    expect(run([[1], [2]])).toEqual([])
    expect(run([[1], [6], [11]])).toEqual([])
  })
  it('CLOCK-1 a first refusal too long ago is not counted, and the later three are', () => {
    expect(run([[1], [8], [14], [16]], 17)).toEqual([
      { type: 'opened', fromMs: 8 * MINUTE, openedMs: 16 * MINUTE, value: 180, worst: 180 },
    ])
  })
  it('CLOCK-1 what was refused at one instant is one refusal', () => {
    expect(run([[1], [1], [1], [1]])).toEqual([])
  })
  it('CLOCK-2 closes ten minutes after the last refusal, dated to it, with the worst of them', () => {
    expect(run([[1], [2], [3], [9, 900], [18, 200]])).toEqual([
      { type: 'opened', fromMs: MINUTE, openedMs: 3 * MINUTE, value: 180, worst: 180 },
      { type: 'closed', toMs: 18 * MINUTE, closedMs: 28 * MINUTE, worst: 900 },
    ])
  })
  it('CLOCK-2 after it closed, three more are needed to open it again', () => {
    expect(run([[1], [2], [3], [20], [21]], 25).map((f) => f.type)).toEqual(['opened', 'closed'])
    expect(run([[1], [2], [3], [20], [21], [22]], 25).map((f) => f.type)).toEqual([
      'opened',
      'closed',
      'opened',
    ])
  })
})
