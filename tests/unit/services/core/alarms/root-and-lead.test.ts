import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { leadOf, WEIGHTIEST_FIRST } from '../../../../../services/core/alarms/lead.ts'
import { rootKeyOf } from '../../../../../services/core/alarms/root.ts'
import { urgencyOf } from '../../../../../services/core/alarms/urgency.ts'
import { CONDITIONS, type Condition, type Episode } from '../../../../../services/core/model/episode.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf, NIGHT, SAMPLES } from './every-condition.ts'

const settings = testSettings()
const rootOf = (condition: Condition, change: Partial<Episode> = {}) =>
  rootKeyOf(episodeOf(condition, change), settings)
const rootsOf = (...conditions: Condition[]) => new Set(conditions.map((c) => rootOf(c)))

describe('one trouble, one alarm', () => {
  it('ROOT-1 what follows from the power of a machine is one root, but not what a person found', () => {
    expect([...rootsOf('powerLost', 'leftOff', 'powerFlickering', 'notCleaning', 'offItsCap')]).toEqual([
      'power|machine:roll',
    ])
    expect(rootOf('offItsCap', { value: null })).toBe('power|machine:roll')
    expect(rootOf('offItsCap', { value: 1 })).toBe('offItsCap|machine:roll')
    expect(rootOf('powerLost', { subject: { kind: 'machine', id: 'sheet' } })).toBe('power|machine:sheet')
  })

  it('ROOT-2 dry and very dry air are one, and the level of a bottle; a missing bottle is another', () => {
    expect(rootsOf('airDry', 'airVeryDry').size).toBe(1)
    expect(rootsOf('airDry', 'airDamp', 'roomCold', 'roomWarm').size).toBe(4)
    expect(rootsOf('bottleNear', 'bottleFull', 'bottleWillFill').size).toBe(1)
    expect(rootsOf('bottleNear', 'bottleMissing', 'bottleLosingWeight', 'wasteNotArriving').size).toBe(4)
  })

  it('ROOT-3 all inks of a machine that dry, or will, are one root', () => {
    const colour = { kind: 'channelGroup', id: 'roll-colour' } as const
    expect(rootOf('headDrying')).toBe('drying|machine:roll')
    expect(rootOf('headWillDry', { subject: colour })).toBe('drying|machine:roll')
    expect(rootOf('idleTooLong', { subject: colour })).toBe(rootOf('idleTooLong'))
    expect(rootOf('headDrying', { subject: { kind: 'channelGroup', id: 'gone' } })).toBe(
      'drying|channelGroup:gone',
    )
  })

  it('ROOT-4 a node that is not heard is one root, with all its sensors', () => {
    const bottle = { kind: 'sensor', id: 'bench/bottle' } as const
    expect([...rootsOf('sensorSilent', 'readingsMissing', 'clockAhead')]).toEqual(['node|node:bench'])
    expect(rootOf('sensorSilent', { subject: bottle })).toBe('node|node:bench')
  })

  it('ROOT-5 a sensor that is not believed is one root, whatever the reason', () => {
    expect([...rootsOf('sensorStuck', 'sensorImplausible', 'sensorOutOfStep')]).toEqual([
      'distrust|sensor:bench/humidity',
    ])
  })

  it('no root is shared by subjects of different rooms, machines, bottles or sensors', () => {
    for (const condition of CONDITIONS) {
      const { subject } = SAMPLES[condition]
      const id = subject.kind === 'sensor' ? 'other/humidity' : 'other'
      expect(rootOf(condition, { subject: { ...subject, id } }), condition).not.toBe(rootOf(condition))
    }
  })
})

const anyEpisode = fc
  .record({
    condition: fc.constantFrom(...CONDITIONS),
    value: fc.option(fc.integer({ min: 0, max: 100 })),
    shopClosed: fc.boolean(),
    fromMs: fc.integer({ min: 0, max: 3 }),
    id: fc.integer({ min: 0, max: 5 }),
  })
  .map(({ condition, id, ...rest }) => episodeOf(condition, { ...rest, id: `${condition}|${id}` }))
const someEpisodes = fc.uniqueArray(anyEpisode, { minLength: 1, maxLength: 6, selector: (e) => e.id })

describe('the episode whose reason is told', () => {
  it('every condition has its weight once', () => {
    expect([...WEIGHTIEST_FIRST].sort()).toEqual([...CONDITIONS].sort())
  })

  it('none open, none told', () => {
    expect(leadOf([], { settings, nowMs: NIGHT })).toBeUndefined()
  })

  it('LEAD-1 an alarm is for now as soon as one of its episodes is', () => {
    let urgent = 0
    fc.assert(
      fc.property(someEpisodes, (episodes) => {
        const lead = leadOf(episodes, { settings, nowMs: NIGHT })
        const isNow = (e: Episode | undefined) =>
          e !== undefined && urgencyOf(e, { settings, nowMs: NIGHT }) === 'now'
        if (episodes.some(isNow) && !episodes.every(isNow)) urgent++
        expect(isNow(lead)).toBe(episodes.some(isNow))
      }),
    )
    expect(urgent).toBeGreaterThan(0)
  })

  it.each([
    ['offItsCap', 'headDrying'],
    ['bottleFull', 'bottleWillFill'],
    ['bottleWillFill', 'bottleNear'],
    ['airVeryDry', 'airDry'],
    ['leftOff', 'powerLost'],
    ['powerLost', 'powerFlickering'],
    ['offItsCap', 'powerLost'],
    ['mainsLost', 'powerLost'],
    ['clockAhead', 'sensorSilent'],
    ['headDrying', 'headWillDry'],
  ] as const)('LEAD-2 %s is told before %s', (weightier, lighter) => {
    const pair = [episodeOf(lighter, { value: 50 }), episodeOf(weightier, { value: 50 })]
    expect(leadOf(pair, { settings, nowMs: NIGHT })?.condition).toBe(weightier)
  })

  it('LEAD-3 of two forecasts the more probable is told, and it is that one which wakes', () => {
    const colour = { kind: 'channelGroup', id: 'roll-colour' } as const
    const unlikely = episodeOf('headWillDry', { id: 'a', value: 55, fromMs: 0 })
    const likely = episodeOf('headWillDry', { id: 'b', value: 70, subject: colour })
    expect(leadOf([unlikely, likely], { settings, nowMs: NIGHT })?.id).toBe('b')
  })

  it('LEAD-3 else the oldest, and never the order in which they are given', () => {
    const [young, old] = [episodeOf('powerLost', { id: 'a' }), episodeOf('powerLost', { id: 'b', fromMs: 0 })]
    expect(leadOf([young, old], { settings, nowMs: NIGHT })?.id).toBe('b')
    let several = 0
    fc.assert(
      fc.property(someEpisodes, (episodes) => {
        if (episodes.length > 1) several++
        expect(leadOf([...episodes].reverse(), { settings, nowMs: NIGHT })).toBe(
          leadOf(episodes, { settings, nowMs: NIGHT }),
        )
      }),
    )
    expect(several).toBeGreaterThan(0)
  })
})
