import { describe, expect, it } from 'vitest'
import { FUZZ_TARGETS, fuzz } from '../parts/fuzz-targets.ts'

describe('whatever comes from outside', { timeout: 120_000 }, () => {
  it.each(FUZZ_TARGETS)('$name: throws nothing, and says why it refuses', async (target) => {
    const reached = await fuzz(target, { cases: Math.ceil(1000 * target.share) })
    for (const outcome of target.reaches) expect([outcome, reached[outcome] ?? 0]).not.toEqual([outcome, 0])
  })
})
