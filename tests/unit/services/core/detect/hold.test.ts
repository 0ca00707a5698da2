import { describe, expect, it } from 'vitest'
import {
  abandonHold,
  fireHold,
  holdDeadlineMs,
  initialHold,
  stepHold,
  type HoldRule,
} from '../../../../../services/core/detect/hold.ts'
import type { Finding } from '../../../../../services/core/detect/detector.ts'

const RULE: HoldRule = { onDelayMs: 10, offDelayMs: 10, validForMs: 100 }
const LIMIT = { open: 40, close: 42 }

/** Feeds samples of a lower limit, firing each deadline that lies before the next sample, as the kernel does. */
function run(samples: readonly [number, number][], { rule = RULE, untilMs = Infinity } = {}): Finding[] {
  const state = initialHold()
  const found: Finding[] = []
  const fire = (beforeMs: number): void => {
    for (let at = holdDeadlineMs(state, rule); at < beforeMs; at = holdDeadlineMs(state, rule)) {
      const finding = fireHold(state, rule, at)
      if (finding) found.push(finding)
    }
  }
  for (const [atMs, value] of samples) {
    fire(atMs)
    const sample = { atMs, value, beyond: value < LIMIT.open, well: value > LIMIT.close, worse: Math.min }
    const finding = stepHold(state, sample, rule)
    if (finding) found.push(finding)
  }
  fire(untilMs === Infinity ? 1e9 : untilMs)
  return found
}

describe('hold', () => {
  it('HOLD-1 opens when every reading for the whole on-delay was beyond the limit, dated to the first of them', () => {
    expect(
      run([
        [0, 50],
        [5, 39],
        [10, 38],
        [15, 39],
      ]),
    ).toEqual([{ type: 'opened', fromMs: 5, openedMs: 15, value: 38, worst: 38 }])
  })
  it('HOLD-1 a reading exactly on the limit is not beyond it', () => {
    expect(
      run([
        [0, 40],
        [20, 40],
        [40, 40],
      ]),
    ).toEqual([])
  })
  it('HOLD-2 a reading that is not beyond the limit ends the wait', () => {
    expect(
      run([
        [0, 39],
        [5, 40],
        [9, 39],
        [12, 41],
      ]),
    ).toEqual([])
  })
  it('HOLD-3 closes after the whole off-delay on the well side, dated to the first reading there', () => {
    expect(
      run([
        [0, 39],
        [11, 39],
        [20, 43],
        [25, 44],
        [31, 43],
      ]),
    ).toEqual([
      { type: 'opened', fromMs: 0, openedMs: 10, value: 39, worst: 39 },
      { type: 'closed', toMs: 20, closedMs: 30, worst: 39 },
    ])
  })
  it('HOLD-3 a reading back in the deadband ends the closing wait', () => {
    const found = run(
      [
        [0, 39],
        [11, 39],
        [20, 43],
        [25, 41],
        [29, 41],
        [60, 41],
      ],
      { untilMs: 70 },
    )
    expect(found.map((f) => f.type)).toEqual(['opened'])
  })
  it('HOLD-4 a silence longer than a reading stands for ends the opening wait', () => {
    const rule = { ...RULE, onDelayMs: 500 }
    expect(
      run(
        [
          [0, 39],
          [150, 39],
          [560, 50],
        ],
        { rule },
      ),
    ).toEqual([])
  })
  it('HOLD-4 a silence ends the closing wait too: the condition stays open', () => {
    const rule = { ...RULE, offDelayMs: 500 }
    expect(
      run(
        [
          [0, 39],
          [11, 39],
          [20, 43],
        ],
        { rule },
      ).map((f) => f.type),
    ).toEqual(['opened'])
  })
  it('HOLD-5 with no delay the reading itself decides', () => {
    const rule = { ...RULE, onDelayMs: 0, offDelayMs: 0 }
    expect(
      run(
        [
          [3, 39],
          [9, 43],
        ],
        { rule },
      ),
    ).toEqual([
      { type: 'opened', fromMs: 3, openedMs: 3, value: 39, worst: 39 },
      { type: 'closed', toMs: 9, closedMs: 9, worst: 39 },
    ])
  })
  it('an open condition that nobody measures any more ends, a waiting one is forgotten', () => {
    const open = { ...initialHold(), phase: 'open' as const, worst: 30 }
    expect(abandonHold(open, 77)).toEqual({ type: 'closed', toMs: 77, closedMs: 77, worst: 30 })
    expect(abandonHold({ ...initialHold(), phase: 'opening' }, 77)).toBeNull()
  })
})
