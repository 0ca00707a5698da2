import { describe, expect, it } from 'vitest'
import {
  eventsAfter,
  keepInWindow,
  takeCheckpoint,
  windowAt,
} from '../../../../../services/core/kernel/late-window.ts'
import { initialSubject, type SubjectState } from '../../../../../services/core/kernel/subject-state.ts'

const MINUTE = 60_000

/** A room that hears one reading every `apartMs`; always something late beside, or once before the first. */
function hears(
  count: number,
  apartMs: number,
  { late, seen }: { late: 'always' | 'once'; seen?: (state: SubjectState) => void },
): SubjectState {
  const state = initialSubject('room', 0)
  state.window.lateMs = 0
  for (let i = 1; i <= count; i++) {
    const atMs = i * apartMs
    if (late === 'always') state.window.lateMs = atMs
    takeCheckpoint(state, atMs)
    state.throughMs = atMs
    keepInWindow(state, { sensorId: 'bench/humidity', quantity: 'humidity', atMs, value: 45 })
    seen?.(state)
  }
  return state
}

describe('the window of what comes late', () => {
  it.each([40, 1_000, 10_000, MINUTE])(
    'WINDOW-1 what comes late by n readings, one every %d ms, is told again from at most 2 n + 32 back',
    (apartMs) => {
      let reached = 0
      const seen = ({ window, throughMs }: SubjectState): void => {
        for (const n of [1, 5, 40, 200, 900]) {
          const from = window.checkpoints.findLast((c) => c.throughMs < throughMs - n * apartMs)
          if (!from) continue
          expect(eventsAfter(window, from).length).toBeLessThanOrEqual(2 * n + 32)
          reached++
        }
      }
      hears(1_500, apartMs, { late: 'always', seen })
      expect(reached).toBeGreaterThan(2_000)
    },
  )

  it('WINDOW-2 it reaches back eight minutes where little is heard, and holds at most 2,032 readings however much is', () => {
    for (const apartMs of [1_000, 10_000, MINUTE]) {
      const { window, throughMs } = hears(1_000, apartMs, { late: 'always' })
      expect(window.checkpoints[0]?.throughMs).toBeLessThanOrEqual(throughMs - 8 * MINUTE)
    }
    let most = 0
    const seen = (state: SubjectState): void => void (most = Math.max(most, state.window.tail.length))
    const { window } = hears(20_000, 40, { late: 'always', seen })
    expect(most).toBeGreaterThan(1_500)
    expect(most).toBeLessThanOrEqual(2_032)
    expect(window.checkpoints.length).toBeLessThan(20)
  })

  it('WINDOW-3 at each state that it keeps, it knows what was applied before and what after', () => {
    const { window } = hears(700, 1_000, { late: 'once' })
    expect(window.checkpoints.length).toBeGreaterThan(4)
    for (const checkpoint of window.checkpoints) {
      const then = windowAt(window, checkpoint)
      const after = eventsAfter(window, checkpoint)
      expect(then.tail.every((event) => event.atMs <= checkpoint.throughMs)).toBe(true)
      expect(after.every((event) => event.atMs > checkpoint.throughMs)).toBe(true)
      expect([...then.tail, ...after]).toEqual(window.tail)
      expect(then.checkpoints.at(-1)).toBe(checkpoint)
    }
  })

  it('WINDOW-4 a room that heard nothing late for an hour keeps nothing more', () => {
    expect(hears(59, MINUTE, { late: 'once' }).window.tail).not.toEqual([])
    expect(hears(62, MINUTE, { late: 'once' }).window).toMatchObject({
      lateMs: null,
      tail: [],
      checkpoints: [],
    })
  })
})
