import { describe, expect, it } from 'vitest'
import { runDeliveryKills } from '../parts/delivery-kills.ts'

describe('kill -9 between sending a notice and writing that down', { timeout: 120_000 }, () => {
  it('loses none, and sends again under the same key alone', async () => {
    const run = await runDeliveryKills(10)
    expect(run).toMatchObject({ kills: 10, lost: 0, strange: 0 })
    // Killed before its answer, a notice must come again.
    expect(run.again).toBeGreaterThanOrEqual(5)
    // And no kill costs more than one notice sent twice.
    expect(run.extra).toBeLessThanOrEqual(run.kills)
  })
})
