import { describe, expect, it } from 'vitest'
import { runLoad } from '../parts/load-run.ts'

describe('many nodes at once', { timeout: 180_000 }, () => {
  it('come back together after a cut, lose nothing, and leave an open screen its news', async () => {
    const run = await runLoad({ nodes: 40, seconds: 8 })
    expect(run.measured).toBeGreaterThan(200)
    expect(run.lost).toBe(0)
    expect(run.boardMs).toBeLessThan(Infinity)
    expect(run.longestSilenceMs).toBeLessThan(60_000)
  })
})
