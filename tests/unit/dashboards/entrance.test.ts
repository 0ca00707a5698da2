import { describe, expect, it } from 'vitest'
import { BOARD_WAIT_MS, createEntrance } from '../../../dashboards/src/live/entrance.ts'
import { handClock } from '../../parts/hand-clock.ts'

function atTheDoor() {
  const clock = handClock()
  const boards: ((eventId: string | null) => void)[] = []
  const opened: (string | null)[] = []
  const entrance = createEntrance({
    loadBoard: () => new Promise((resolve) => boards.push(resolve)),
    openLine: (afterId) => opened.push(afterId),
    timers: clock.timers,
  })
  const boardComes = async (eventId: string | null): Promise<void> => {
    boards.shift()?.(eventId)
    await Promise.resolve()
  }
  return { clock, entrance, opened, boardComes }
}

describe('entrance', () => {
  it('ENTER-1 the line opens when the board has come, with what came after it, and once', async () => {
    const { clock, entrance, opened, boardComes } = atTheDoor()
    entrance.enter()
    expect(opened).toEqual([])
    await boardComes('41')
    clock.go(BOARD_WAIT_MS)
    expect(opened).toEqual(['41'])
  })

  it('ENTER-2 without a board the line opens after a while, and does not open again when the board comes', async () => {
    const { clock, entrance, opened, boardComes } = atTheDoor()
    entrance.enter()
    clock.go(BOARD_WAIT_MS)
    await boardComes('41')
    expect(opened).toEqual([null])
  })

  it('ENTER-3 whoever left gets no line, and the board of who left opens none for the next', async () => {
    const { clock, entrance, opened, boardComes } = atTheDoor()
    entrance.enter()
    entrance.leave()
    clock.go(BOARD_WAIT_MS)
    expect(opened).toEqual([])
    entrance.enter()
    await boardComes('41')
    expect(opened).toEqual([])
    await boardComes('57')
    expect(opened).toEqual(['57'])
  })
})
