import type { Timers } from './coalesce.ts'

/** Without a board for this long, the line is opened all the same. Starting value. */
export const BOARD_WAIT_MS = 3_000

export interface Entrance {
  readonly enter: () => void
  /** Whoever was entering is gone. */
  readonly leave: () => void
}

export interface EntranceParts {
  /** Gives the newest event that the board knows of; null where that is not known. */
  readonly loadBoard: () => Promise<string | null>
  /** Opens the line with what happened after that event; null: from now on. */
  readonly openLine: (afterId: string | null) => void
  readonly timers: Timers
}

/**
 * First the board, then the line that tells what came after it: so the board is there one way to the shop and back
 * earlier than the line, is asked for once, and misses nothing.
 */
export function createEntrance({ loadBoard, openLine, timers }: EntranceParts): Entrance {
  let turn = 0
  let stopWaiting: (() => void) | null = null
  const leave = (): void => {
    turn++
    stopWaiting?.()
    stopWaiting = null
  }
  return {
    leave,
    enter: () => {
      leave()
      const mine = turn
      const open = (afterId: string | null): void => {
        if (turn !== mine) return
        leave()
        openLine(afterId)
      }
      stopWaiting = timers.later(BOARD_WAIT_MS, () => open(null))
      void loadBoard().then(open)
    },
  }
}
