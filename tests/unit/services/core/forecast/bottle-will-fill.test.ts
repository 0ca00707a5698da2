import { describe, expect, it } from 'vitest'
import type { FillProfile } from '../../../../../services/core/model/learned/fill-profile.ts'
import { bottleSettings, liveBottle, told, type BottleStory } from '../../../../parts/bottle-run.ts'
import { DAY, during, HOUR, MINUTE, MONDAY_MS, SECOND, together } from '../../../../parts/bottle-signal.ts'

const MONDAY_HOUR = Date.UTC(2026, 2, 2) / HOUR
/** Shut from 18:00 to 08:30. */
const EVENING_MS = MONDAY_MS + 17 * HOUR

/** Weeks in which `of` of eight gained 20 g in each hour, the others nothing. */
function profileOf(of: number, weeks = 8): FillProfile {
  return {
    kind: 'fillProfile',
    subjectId: 'roll-waste',
    fromMs: MONDAY_MS - weeks * 7 * DAY,
    toMs: MONDAY_MS,
    version: 'test',
    timeZone: 'Europe/Brussels',
    firstHour: MONDAY_HOUR - weeks * 168,
    gainsG: Array.from({ length: weeks * 168 }, (_, i) => (Math.floor(i / 168) < of ? 20 : 0)),
    evaporationGPerDay: 4,
    noiseG: 0.2,
  }
}

/** 1.75 kg of 1.9 in the bottle: full after 7.5 hours of a week that fills. */
function story(change: Partial<BottleStory> = {}): BottleStory {
  return {
    signal: () => 1.95,
    forMs: 4 * HOUR,
    everyMs: MINUTE,
    fromMs: EVENING_MS + 7 * SECOND,
    learned: [profileOf(8)],
    ...change,
  }
}
const willFill = (s: BottleStory): string[] => told(liveBottle(s).found, 'bottleWillFill', EVENING_MS)

describe('bottle will fill', () => {
  it('WILL-FILL-1 opens at the first grid point when the bottle will be full before the next opening', () => {
    expect(willFill(story())).toEqual(['opened 15 sure 15'])
  })
  it('WILL-FILL-1 says how probable it is in percent', () => {
    const [opened] = liveBottle(story({ learned: [profileOf(6)] })).found.filter(
      (f) => f.condition === 'bottleWillFill',
    )
    expect(opened?.worst).toBeCloseTo((6.5 / 9) * 100, 6)
  })
  it('WILL-FILL-1 three of eight weeks are not enough', () => {
    expect(willFill(story({ learned: [profileOf(3)] }))).toEqual([])
  })
  it('WILL-FILL-1 is judged at closing too, off the grid', () => {
    const hours = { weekly: [{ weekday: 1, opens: '08:30', closes: '17:07' }], holidays: [] }
    const settings = bottleSettings(MINUTE, { hours })
    const signal = together(() => 1.95, during(0, 90 * SECOND, -1))
    expect(willFill(story({ settings, signal, forMs: 10 * MINUTE, everyMs: 10 * SECOND }))).toEqual([
      'opened 7 sure 7',
    ])
  })
  it('WILL-FILL-1 closes when it will not be full any more, as after an emptying', () => {
    const lifted = during(HOUR, HOUR + 4 * MINUTE, -1.95)
    const emptied = during(HOUR + 4 * MINUTE, Infinity, -1.7)
    const found = willFill(story({ signal: together(() => 1.95, lifted, emptied) }))
    expect(found).toEqual(['opened 15 sure 15', 'closed 75 sure 75'])
  })
  it('WILL-FILL-1 the deadband keeps it open at 0.6 of the probability that opens it', () => {
    // 1.945 kg fills in all eight weeks; then less is in it, so that the gain of some weeks no longer fills it.
    const stepped: FillProfile = {
      ...profileOf(8),
      gainsG: Array.from({ length: 8 * 168 }, (_, i) => (Math.floor(i / 168) < 3 ? 20 : 12)),
    }
    const less = during(HOUR, Infinity, -0.05)
    const limited = { learned: [stepped], signal: together(() => 1.95, less) }
    // 3 of 8: (3 + 0.5) / 9 is 0.39, above 0.6 x 0.5 and below 0.5.
    expect(willFill(story(limited))).toEqual(['opened 15 sure 15'])
    const quite = { learned: [stepped], signal: together(() => 1.95, during(HOUR, Infinity, -0.3)) }
    expect(willFill(story(quite))).toHaveLength(2)
  })
  it('WILL-FILL-1 depends on what was known at the grid time alone, not on how often anybody looked', () => {
    const often = willFill(story({ everyMs: 10 * SECOND, fromMs: EVENING_MS }))
    const seldom = willFill(story({ everyMs: 2 * MINUTE, fromMs: EVENING_MS }))
    expect(often).toEqual(seldom)
  })
  it('WILL-FILL-2 with less than two weeks of history it is never open', () => {
    expect(willFill(story({ learned: [profileOf(1, 1)] }))).toEqual([])
    expect(willFill(story({ learned: [] }))).toEqual([])
    expect(willFill(story({ learned: [profileOf(2, 2)] }))).toHaveLength(1)
  })
  it('WILL-FILL-3 a lifted bottle is not judged until it is weighed again', () => {
    const lifted = during(5 * MINUTE, 40 * MINUTE, -1.95)
    expect(willFill(story({ signal: together(() => 1.95, lifted) }))).toEqual(['opened 45 sure 45'])
    const later = during(20 * MINUTE, Infinity, -1.95)
    expect(willFill(story({ signal: together(() => 1.95, later) }))).toEqual(['opened 15 sure 15'])
  })
  it('WILL-FILL-3 a silent scale wakes nobody and is judged again when it speaks', () => {
    const run = liveBottle(story({ silent: [5 * MINUTE, 100 * MINUTE] }))
    expect(told(run.found, 'bottleWillFill', EVENING_MS)).toEqual(['opened 105 sure 105'])
    // Nothing more is waited for once the scale has been silent past a grid point.
    run.wakeThrough(EVENING_MS + 30 * DAY)
    expect(told(run.found, 'bottleWillFill', EVENING_MS)).toHaveLength(1)
  })
  it('a shop without hours is judged over the coming day', () => {
    const settings = bottleSettings(MINUTE, { hours: { weekly: [], holidays: [] } })
    expect(willFill(story({ settings }))).toEqual(['opened 15 sure 15'])
    expect(willFill(story({ settings, signal: () => 1.5 }))).toEqual([])
  })
})
