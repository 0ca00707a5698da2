import { describe, expect, it } from 'vitest'
import { WEIGHTIEST_FIRST } from '../../../../../services/core/alarms/lead.ts'
import { isExplainedBy, quietCovers, SUPPRESSED_BY } from '../../../../../services/core/alarms/suppression.ts'
import { urgencyOf } from '../../../../../services/core/alarms/urgency.ts'
import { CONDITIONS, type Condition } from '../../../../../services/core/model/episode.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { everyEpisodeOf, NIGHT } from './every-condition.ts'

const settings = testSettings()
const canWake = (c: Condition) =>
  everyEpisodeOf(c).some((e) => urgencyOf(e, { settings, nowMs: NIGHT }) === 'now')
const explainedBy = (other: Condition) => CONDITIONS.filter((c) => isExplainedBy(c, other))

describe('what explains what', () => {
  it('EXPLAIN-1 nothing that may wake somebody, and no drying head, is explained away', () => {
    const waking = CONDITIONS.filter(canWake)
    expect(waking.length).toBeGreaterThan(0)
    for (const condition of [...waking, 'headDrying' as const]) {
      expect(SUPPRESSED_BY[condition], condition).toEqual([])
    }
  })

  it('EXPLAIN-2 without mains: machines off, left off or flickering, no cleaning, idle ink, silent sensors', () => {
    expect(explainedBy('mainsLost').sort()).toEqual(
      ['powerLost', 'leftOff', 'powerFlickering', 'notCleaning', 'idleTooLong', 'sensorSilent'].sort(),
    )
  })

  it('EXPLAIN-3 a machine that is off, or stopped, neither cleans nor moves its white ink', () => {
    for (const other of ['powerLost', 'leftOff', 'stoppedOnError'] as const) {
      expect(isExplainedBy('notCleaning', other)).toBe(true)
      expect(isExplainedBy('idleTooLong', other)).toBe(true)
    }
    expect(isExplainedBy('idleTooLong', 'powerFlickering')).toBe(false)
  })

  it('EXPLAIN-4 a bottle that is off its scale, full or leaking gets no heavier', () => {
    for (const other of ['bottleMissing', 'bottleFull', 'bottleLosingWeight'] as const) {
      expect(isExplainedBy('wasteNotArriving', other)).toBe(true)
    }
    expect(isExplainedBy('bottleNear', 'bottleMissing')).toBe(true)
    expect(isExplainedBy('bottleMissing', 'bottleFull')).toBe(false)
  })

  it('EXPLAIN-5 what nodes lost while the monitor was dark; but not what fell silent then', () => {
    expect(explainedBy('monitorDark')).toEqual(['readingsMissing'])
  })

  it('EXPLAIN-6 dry air explains drier air alone, never a head', () => {
    expect(explainedBy('airDry')).toEqual([])
    expect(explainedBy('airVeryDry')).toEqual(['airDry'])
  })

  it('nothing explains itself, and nothing goes in a circle but one event in two words', () => {
    const circles = CONDITIONS.flatMap((a) => reachedFrom(a).filter((b) => reachedFrom(b).includes(a)))
    expect([...new Set(circles)].sort()).toEqual(['leftOff', 'powerLost'])
    for (const condition of CONDITIONS) expect(isExplainedBy(condition, condition)).toBe(false)
  })

  it('what explains is told before what it explains', () => {
    let pairs = 0
    for (const condition of CONDITIONS) {
      for (const other of SUPPRESSED_BY[condition]) {
        pairs++
        if (condition === 'leftOff' && other === 'powerLost') continue
        const order = WEIGHTIEST_FIRST.indexOf(other) - WEIGHTIEST_FIRST.indexOf(condition)
        expect(order, `${other} before ${condition}`).toBeLessThan(0)
      }
    }
    expect(pairs).toBeGreaterThan(0)
  })
})

/** All that explains a condition, directly or through others. */
function reachedFrom(condition: Condition): readonly Condition[] {
  const reached = new Set<Condition>()
  const walk = (from: Condition) =>
    SUPPRESSED_BY[from].forEach((other) => {
      if (reached.has(other)) return
      reached.add(other)
      walk(other)
    })
  walk(condition)
  return [...reached].filter((other) => other !== condition)
}

describe('planned quiet', () => {
  const covered = (kind: Parameters<typeof quietCovers>[0]) => CONDITIONS.filter((c) => quietCovers(kind, c))

  it('COVER-1 a machine out of service is quiet as to machine and heads; bottle, room and sensors are not', () => {
    expect(covered('outOfService')).toEqual([
      'headDrying',
      'headWillDry',
      'offItsCap',
      'notCleaning',
      'stoppedOnError',
      'idleTooLong',
      'powerLost',
      'leftOff',
      'powerFlickering',
    ])
  })

  it('COVER-2 work on the power is quiet as to power; a head off its cap or drying is told as ever', () => {
    expect(covered('powerWork')).toEqual([
      'notCleaning',
      'powerLost',
      'leftOff',
      'powerFlickering',
      'mainsLost',
      'sensorSilent',
    ])
  })
})
