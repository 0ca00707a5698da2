import { describe, expect, it } from 'vitest'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { QUARTER_MS } from '../../../../../services/core/model/quarter.ts'
import { machineQuarter } from '../../../../../services/core/track/machine-quarter.ts'
import { machineTracker, type MachineFacts } from '../../../../../services/core/track/machine.ts'
import type { SubjectContext } from '../../../../../services/core/track/tracker.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const END = Date.UTC(2026, 4, 4, 6)
const FROM = END - QUARTER_MS
const settings = testSettings()
const context: SubjectContext = {
  subject: { kind: 'machine', id: 'roll' },
  settings,
  calendar: openingCalendar(settings),
  learned: new Map(),
  sensors: new Map(),
}
const ink = { zeroKpaH: 0, wettedMs: null, basis: 'unknown', movedMs: null, trace: [] } as const

function facts(change: Partial<MachineFacts> = {}): MachineFacts {
  const inks = { 'roll-colour': { ...ink, trace: [] }, 'roll-white': { ...ink, zeroKpaH: 2, trace: [] } }
  const drying = { integralKpaH: 5, integralAtMs: END - 60_000, rateKpa: 1.2, inks }
  return { ...machineTracker.initial(), drying, ...change }
}
const quarter = (change: Partial<MachineFacts>) => machineQuarter(facts(change), END, context)

describe('machineQuarter', () => {
  it('QUARTER-1 counts a state from when it began, within the quarter alone', () => {
    const states: MachineFacts['states'] = [
      { fromMs: FROM - 3_600_000, state: 'standby' },
      { fromMs: FROM + 300_000, state: 'printing' },
      { fromMs: END - 60_000, state: 'standby' },
      { fromMs: END + 5_000, state: 'off' },
    ]
    expect(quarter({ states }).seconds).toEqual({ standby: 360, printing: 540 })
  })
  it('QUARTER-2 does not count time of which nothing is known', () => {
    expect(quarter({ states: [{ fromMs: END - 100_000, state: 'on' }] }).seconds).toEqual({ on: 100 })
    expect(quarter({}).seconds).toEqual({})
  })
  it('QUARTER-3 counts a head that is off its cap from when that began', () => {
    const cap = { ...machineTracker.initial().cap, state: 'uncapped' as const }
    const uncappedS = (sinceMs: number | null) => quarter({ cap: { ...cap, sinceMs } }).uncappedS
    expect([uncappedS(END - 120_000), uncappedS(FROM - 1), uncappedS(null)]).toEqual([120, 900, 900])
    expect(quarter({}).uncappedS).toBe(0)
  })
  it('carries each dose on to the end, and says which is certain', () => {
    const possible = quarter({ unseenWetting: { possible: true, endedKpaH: 0 } })
    expect(possible.inks).toEqual([
      { channelGroupId: 'roll-colour', doseKpaH: 5.02, certainKpaH: null },
      { channelGroupId: 'roll-white', doseKpaH: 3.02, certainKpaH: null },
    ])
    const certain = quarter({ unseenWetting: { possible: false, endedKpaH: 4 } })
    expect(certain.inks.map((i) => i.certainKpaH)).toEqual([1.02, 1.02])
  })
  it('counts cleanings that were seen or logged, none that was assumed, none of another quarter', () => {
    const cleanings: MachineFacts['cleanings'] = [
      { atMs: FROM, basis: 'seen' },
      { atMs: FROM + 1, basis: 'seen' },
      { atMs: FROM + 2, basis: 'assumed' },
      { atMs: END, basis: 'logged' },
      { atMs: END + 1, basis: 'seen' },
    ]
    expect(quarter({ cleanings }).cleanings).toBe(2)
  })
  it('knows the deficit of the air as far as the air is known', () => {
    expect(quarter({}).deficitKpa).toBeNull()
    // FAO-56 eq. 11 and 19 (Allen et al. 1998): 2.487 kPa at 21 degC, of which 60 % are missing.
    expect(quarter({ humidityPct: 40, temperatureC: 21 }).deficitKpa).toBeCloseTo(1.492, 2)
  })
})
