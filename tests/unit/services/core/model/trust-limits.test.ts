import { describe, expect, it } from 'vitest'
import { settingsSchema } from '../../../../../services/core/model/settings.ts'
import { STARTING_TRUST_LIMITS, trustLimitsSchema } from '../../../../../services/core/model/trust-limits.ts'

describe('trust limits', () => {
  it('settings that say nothing of trust have the starting values', () => {
    const settings = settingsSchema.parse({ site: { id: 'quayside', title: 'Quayside Film & Print' } })
    expect(settings.limits.trust).toEqual(STARTING_TRUST_LIMITS)
  })
  it.each([
    [
      'a stretch so short that good air would be stuck',
      { mass: { fineStepKg: 0.001, stillMs: 60_000 } },
      ['mass', 'stillMs'],
    ],
    [
      'a range that is upside down',
      { temperature: { ...STARTING_TRUST_LIMITS.temperature, lowestC: 50, highestC: 10 } },
      ['temperature', 'highestC'],
    ],
    ['a misspelt limit', { humidity: { ...STARTING_TRUST_LIMITS.humidity, stilMs: 1 } }, ['humidity']],
  ])('refuses %s, and names the field', (_, limits, path) => {
    const parsed = trustLimitsSchema.safeParse(limits)
    expect(parsed.error?.issues.map((i) => i.path)).toEqual([path])
  })
})
