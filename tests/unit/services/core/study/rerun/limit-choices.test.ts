import { describe, expect, it } from 'vitest'
import { emptySettings } from '../../../../../../services/core/model/settings.ts'
import {
  conditionsDecidedBy,
  curveValues,
  limitChoice,
  limitChoices,
  valueProblem,
  withLimit,
} from '../../../../../../services/core/study/rerun/limit-choices.ts'

const settings = emptySettings()
const { limits } = settings

function curve(limit: string, tried: number): readonly number[] {
  const choice = limitChoice(limit, settings)
  if (!choice) throw new Error(`there is no ${limit}`)
  return curveValues(choice, tried, settings)
}

describe('what a re-run may try', () => {
  it('stands in the settings under its own name, with conditions that it decides', () => {
    const choices = limitChoices(settings)
    expect(new Set(choices.map((c) => c.limit)).size).toBe(choices.length)
    for (const { limit, todayValue, min, max } of choices) {
      expect([limit, conditionsDecidedBy(limit).length > 0]).toEqual([limit, true])
      expect([limit, todayValue >= min && todayValue <= max]).toEqual([limit, true])
      expect(withLimit(limits, { limit, value: todayValue })).toEqual(limits)
    }
    expect(limitChoice('airDryPct.openBelow', settings)?.wakes).toBe(false)
    expect(limitChoice('powerOff.uncappedMs', settings)?.wakes).toBe(true)
  })

  it('TRY-1 the deadband goes along with the level at which a condition opens', () => {
    expect(withLimit(limits, { limit: 'airDryPct.openBelow', value: 38 }).airDryPct).toMatchObject({
      openBelow: 38,
      closeAbove: 40,
    })
    expect(withLimit(limits, { limit: 'airDampPct.openAbove', value: 70 }).airDampPct).toMatchObject({
      openAbove: 70,
      closeBelow: 67,
    })
  })

  it('TRY-2 a closing level stops at the opening level, and asking for more is refused', () => {
    const wrong = { limit: 'airDryPct.closeAbove', value: 30 }
    expect(withLimit(limits, wrong).airDryPct.closeAbove).toBe(40)
    expect(valueProblem(wrong, settings)).toContain('well side')
    expect(valueProblem({ limit: 'airDryPct.closeAbove', value: 41 }, settings)).toBeNull()
    expect(valueProblem({ limit: 'doseKpaH', value: 41 }, settings)).toContain('limit:')
    expect(valueProblem({ limit: 'idleMs', value: 1 }, settings)).toContain('between')
  })

  it('the curve has today’s and the tried value, the one between, and two beyond either, as far as they can be', () => {
    expect(curve('airDryPct.openBelow', 38)).toEqual([36, 37, 38, 39, 40, 41, 42])
    expect(curve('exposureFactor.uncapped', 20)).toEqual([1, 5, 20, 35, 50, 65, 80])
    expect(curve('flickering.times', 4)).toEqual([2, 3, 4, 5])
    expect(curve('powerOff.uncappedMs', 300_000)).toEqual([
      0, 30_000, 120_000, 210_000, 300_000, 390_000, 480_000,
    ])
  })
})
