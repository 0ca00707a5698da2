import { describe, expect, it } from 'vitest'
import { createChance } from '../../../../sensors/simulator/chance.ts'

const many = Array.from({ length: 20_000 }, (_, n) => n)
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length

describe('chance', () => {
  it('CHANCE-1 a draw depends on seed, stream and number, not on what was asked before', () => {
    const forwards = createChance(7).stream('doors')
    const backwards = createChance(7).stream('doors')
    const asked = many.slice(0, 100).map(forwards.at)
    expect([...many.slice(0, 100)].reverse().map(backwards.at).reverse()).toEqual(asked)
    expect(createChance(7).stream('windows').at(3)).not.toBe(forwards.at(3))
    expect(createChance(8).stream('doors').at(3)).not.toBe(forwards.at(3))
  })

  it('CHANCE-2 draws are even: mean 1/2 and variance 1/12 within four standard errors, nothing outside 0 to 1', () => {
    const draws = many.map(createChance(1).stream('even').at)
    expect(Math.abs(mean(draws) - 0.5)).toBeLessThan((4 * Math.sqrt(1 / 12)) / Math.sqrt(many.length))
    expect(Math.abs(mean(draws.map((d) => (d - 0.5) ** 2)) - 1 / 12)).toBeLessThan(0.003)
    expect(Math.min(...draws)).toBeGreaterThanOrEqual(0)
    expect(Math.max(...draws)).toBeLessThan(1)
  })

  it('CHANCE-3 neighbouring numbers, and instants 10 s apart, are not alike', () => {
    for (const stride of [1, 10_000]) {
      const draws = many.map(
        (n) =>
          createChance(2)
            .stream('alike')
            .at(1.7e12 + n * stride) - 0.5,
      )
      const alike = mean(draws.slice(1).map((d, at) => d * (draws[at] ?? 0))) * 12
      expect(Math.abs(alike)).toBeLessThan(4 / Math.sqrt(many.length))
    }
  })

  it('CHANCE-4 normal draws have mean 0 and deviation 1', () => {
    const draws = many.map(createChance(3).stream('normal').normalAt)
    expect(Math.abs(mean(draws))).toBeLessThan(4 / Math.sqrt(many.length))
    expect(Math.abs(mean(draws.map((d) => d * d)) - 1)).toBeLessThan(0.05)
  })

  it.each([-1, 1.5, NaN, 2 ** 32])('CHANCE-5 a seed of %d is refused', (seed) => {
    expect(() => createChance(seed)).toThrow(`seed must be a whole number from 0 to 4294967295, got ${seed}`)
  })
})
