import { describe, expect, it } from 'vitest'
import { createSystemNodeClock } from '../../../sensors/node-clock.ts'
import { everyTurn } from '../../../sensors/schedule.ts'

describe('the schedule of a node', () => {
  it('TURN-1 turns begin at once and never before their place; slow work delays none of the later ones', async () => {
    const everyMs = 40
    let monotonicMs = 7
    const clock = { bootId: 'b', nowMs: () => 0, monotonicMs: () => monotonicMs }
    const stop = new AbortController()
    const wait = async (ms: number): Promise<void> => void (monotonicMs += ms)
    const turns: number[] = []
    await everyTurn({ everyMs, clock, signal: stop.signal, wait }, async () => {
      turns.push((monotonicMs - 7) / everyMs)
      // Were waits counted from the end of work, the slow second turn would push the rest off their places.
      monotonicMs += turns.length === 2 ? everyMs * 1.5 : 3
      if (turns.length === 5) stop.abort()
    })
    expect(turns).toEqual([0, 1, 3, 4, 5])
  })

  it('TURN-2 an abort cuts the wait short', async () => {
    const stop = new AbortController()
    let turns = 0
    const running = everyTurn(
      { everyMs: 3_600_000, clock: createSystemNodeClock(), signal: stop.signal },
      async () => {
        turns++
      },
    )
    stop.abort()
    await running
    expect(turns).toBe(1)
  })

  it('TURN-4 a timer that fires early gives no turn twice', async () => {
    let monotonicMs = 0
    const clock = { bootId: 'b', nowMs: () => 0, monotonicMs: () => monotonicMs }
    const stop = new AbortController()
    const places: number[] = []
    const wait = async (ms: number): Promise<void> => {
      monotonicMs += ms - 0.4
    }
    await everyTurn({ everyMs: 40, clock, signal: stop.signal, wait }, async () => {
      places.push(Math.round(monotonicMs / 40))
      if (places.length === 6) stop.abort()
    })
    expect(places).toEqual([0, 1, 2, 3, 4, 5])
  })

  it('TURN-3 an hour of turns by a clock of the test drifts by nothing', async () => {
    let monotonicMs = 0
    const clock = { bootId: 'b', nowMs: () => 0, monotonicMs: () => monotonicMs }
    const stop = new AbortController()
    const waits: number[] = []
    const wait = async (ms: number): Promise<void> => {
      waits.push(ms)
      monotonicMs += ms + 0.7
    }
    let turns = 0
    const startsMs: number[] = []
    await everyTurn({ everyMs: 1000, clock, signal: stop.signal, wait }, async () => {
      startsMs.push(monotonicMs)
      monotonicMs += 13
      if (++turns === 3600) stop.abort()
    })
    expect(startsMs.at(-1)).toBeCloseTo(3_599_000.7, 6)
    expect(waits[0]).toBe(987)
  })
})
