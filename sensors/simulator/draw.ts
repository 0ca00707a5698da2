import type { Chance } from './chance.ts'
import type { Range } from './plan-ranges.ts'

/** Draws for plans and stories: one after another, from a stream of its own name. */
export interface Draw {
  readonly within: (range: Range) => number
  /** Even on a scale of logarithms: as many short ones as long ones. */
  readonly logWithin: (range: Range) => number
  readonly wholeWithin: (range: Range) => number
  readonly happens: (share: number) => boolean
  /** @throws {RangeError} if there is nothing to pick from. */
  readonly pick: <T>(list: readonly T[]) => T
  /** A waiting time with this mean. */
  readonly waiting: (mean: number) => number
}

export function createDraw(chance: Chance, name: string): Draw {
  const next = chance.stream(name).sequence(0)
  const within = ([from, to]: Range): number => from + (to - from) * next()
  return {
    within,
    logWithin: ([from, to]) => Math.exp(within([Math.log(from), Math.log(to)])),
    wholeWithin: ([from, to]) => from + Math.floor((to - from + 1) * next()),
    happens: (share) => next() < share,
    pick: (list) => {
      const picked = list[Math.floor(next() * list.length)]
      if (picked === undefined) throw new RangeError('list must hold something to pick from')
      return picked
    },
    waiting: (mean) => -Math.log(1 - next()) * mean,
  }
}
