import { expect, it } from 'vitest'
import type { InputOf } from '../../../../services/core/model/input.ts'
import type { Settings } from '../../../../services/core/model/settings.ts'
import { limitOrigins, recordedChanges } from '../../../../services/web/settings-record.ts'
import { testSettings } from '../../../parts/shop-settings.ts'

function change(seq: number, settings: Settings, why?: string): InputOf<'settings'> {
  const stamp = {
    seq,
    atMs: seq,
    receivedMs: seq,
    act: { actorId: 'ana', via: 'screen' as const, atMs: seq },
  }
  return { type: 'settings', ...stamp, settings, ...(why === undefined ? {} : { why }) }
}
const withDry = (openBelow: number): Settings => {
  const settings = testSettings()
  return {
    ...settings,
    limits: { ...settings.limits, airDryPct: { ...settings.limits.airDryPct, openBelow } },
  }
}
const originOf = (history: InputOf<'settings'>[], path: string) =>
  limitOrigins(history).find(({ words }) => words.path === path)

it('RECORD-1 RECORD-2 each change is held against the one before it, the first against an empty shop', () => {
  const history = [change(3, withDry(38), 'too many calls'), change(2, withDry(40)), change(1, withDry(40))]
  const found = recordedChanges(history, 2)
  expect(found.map(({ differences }) => differences.map(({ text }) => text))).toEqual([
    ['Dry air, told below: from 40 to 38 %RH'],
    [],
  ])
  expect(recordedChanges(history, 3)[2]?.differences.length).toBeGreaterThan(5)
})

it('ORIGIN-1 a limit was set by the newest change that moved it; others are starting values', () => {
  const history = [change(3, withDry(38)), change(2, withDry(38), 'from Causes'), change(1, withDry(40))]
  expect(originOf(history, 'airDryPct.openBelow')).toMatchObject({
    value: 38,
    startingValue: 40,
    setBy: { seq: 2, why: 'from Causes' },
  })
  expect(originOf(history, 'airDryPct.closeAbove')?.setBy).toBeNull()
})

it('ORIGIN-2 one that was set back is told as set by whoever set it back', () => {
  const history = [change(2, withDry(40)), change(1, withDry(38))]
  expect(originOf(history, 'airDryPct.openBelow')?.setBy?.seq).toBe(2)
})

it('ORIGIN-3 what is older than the history counts as set by the oldest change in it', () => {
  expect(originOf([change(9, withDry(38))], 'airDryPct.openBelow')?.setBy?.seq).toBe(9)
  expect(originOf([], 'airDryPct.openBelow')).toMatchObject({ value: 40, setBy: null })
})
