import { describe, expect, it } from 'vitest'
import { whyOf } from '../../../../../services/core/advise/why/why-of.ts'
import { CONDITIONS, type Condition, type Episode } from '../../../../../services/core/model/episode.ts'
import { whyViewSchema } from '../../../../../services/core/model/views.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf, everyEpisodeOf, NIGHT, shopInFahrenheit, UNSPEAKABLE } from '../alarms/every-condition.ts'

const STARTING = 'Starting value (common practice, no source).'
const settings = testSettings()
const why = (condition: Condition, change: Partial<Episode> = {}, shop = settings) =>
  whyOf(episodeOf(condition, change), shop)
const numberOf = (view: ReturnType<typeof whyOf>, label: string) =>
  view.numbers.find((n) => n.label === label)?.value

it.each(CONDITIONS)(
  '%s has a rule, the source of its limit and its numbers, fit to be read aloud',
  (condition) => {
    for (const episode of everyEpisodeOf(condition)) {
      const view = whyOf(episode, settings)
      expect(whyViewSchema.parse(view)).toEqual(view)
      expect(view.rule).toMatch(/^[A-Z].*\.$/)
      expect(view.limitFrom).toMatch(/^[A-Z].*\.$/)
      const labels = view.numbers.map((n) => n.label)
      expect(new Set(labels).size).toBe(labels.length)
      for (const text of [view.rule, ...view.numbers.flatMap((n) => [n.label, n.value])]) {
        expect(text).not.toBe('')
        expect(text).not.toMatch(UNSPEAKABLE)
      }
    }
  },
)

it.each(CONDITIONS)('%s stands when the settings no longer know its subject', (condition) => {
  const bare = testSettings({ rooms: [], machines: [], bottles: [], nodes: [], sensors: [] })
  const view = whyOf(episodeOf(condition), bare)
  expect([view.rule, ...view.numbers.map((n) => n.value)].join(' ')).not.toMatch(UNSPEAKABLE)
})

it('the rule names deadband and delays, and a delay of nothing is left out', () => {
  expect(why('airDry').rule).toBe(
    'Dry air is on record when the humidity stays below 40 %RH for 10 min, and over when it stays above 42 %RH for 10 min.',
  )
  const atOnce = testSettings({
    limits: { airDryPct: { openBelow: 38, closeAbove: 40, onDelayMs: 0, offDelayMs: 300_000 } },
  })
  expect(why('airDry', {}, atOnce).rule).toBe(
    'Dry air is on record when the humidity stays below 38 %RH, and over when it stays above 40 %RH for 5 min.',
  )
})

describe('where the limit comes from', () => {
  it('every limit is a starting value in a shop that changed none', () => {
    for (const condition of CONDITIONS) {
      const by = why(condition, { value: 0 }).limitFrom
      expect(by, condition).toBe(condition === 'stoppedOnError' ? 'No limit: a person said so.' : STARTING)
    }
  })

  it('what a person said has no limit', () => {
    expect(why('offItsCap', { value: 1 }).limitFrom).toBe('No limit: a person said so.')
    expect(why('stoppedOnError', { value: 1 }).limitFrom).toBe(STARTING)
  })

  it.each([
    ['airDry', { airDryPct: { openBelow: 40, closeAbove: 42, onDelayMs: 600_000, offDelayMs: 60_000 } }],
    [
      'roomWarm',
      { roomWarmC: { openAbove: 31, closeBelow: 29, onDelayMs: 1_200_000, offDelayMs: 1_200_000 } },
    ],
    ['headDrying', { doseKpaH: { colour: 100, white: 50 } }],
    ['headWillDry', { forecast: { listProbability: 0.5, wakeProbability: 0.9 } }],
    ['idleTooLong', { idleMs: 3_600_000 }],
    ['notCleaning', { notCleaningIntervals: 2 }],
    ['powerFlickering', { flickering: { times: 4, withinMs: 3_600_000 } }],
    ['bottleWillFill', { bottleFullPct: { openAbove: 90, closeBelow: 85, onDelayMs: 0, offDelayMs: 0 } }],
    ['wasteNotArriving', { wasteOwed: { grams: 30, sigmas: 5 } }],
    ['sensorSilent', { silent: { intervals: 4, atLeastMs: 120_000 } }],
    ['clockAhead', { trust: { clockAhead: { times: 5, withinMs: 600_000 } } }],
    ['sensorStuck', { trust: { stillReadings: 20 } }],
  ] as const)('%s is set by the owner as soon as one of its limits is', (condition, limits) => {
    expect(why(condition, {}, testSettings({ limits })).limitFrom).toBe('Set by the owner.')
  })

  it('a changed limit says nothing about the rules that do not rest on it', () => {
    const shop = testSettings({
      limits: { airDryPct: { openBelow: 38, closeAbove: 42, onDelayMs: 600_000, offDelayMs: 600_000 } },
    })
    const owned = CONDITIONS.filter((c) => why(c, {}, shop).limitFrom === 'Set by the owner.')
    expect(owned).toEqual(['airDry'])
  })

  it('the limit of the white ink says nothing about the colour ink', () => {
    const shop = testSettings({ limits: { doseKpaH: { colour: 100, white: 50 } } })
    const colour = { kind: 'channelGroup', id: 'roll-colour' } as const
    expect(why('headDrying', {}, shop).rule).toContain('50 kPa h (white ink)')
    expect(why('headDrying', { subject: colour }, shop).limitFrom).toBe(STARTING)
    expect(why('headDrying', { subject: colour }, shop).rule).toContain('100 kPa h (colour ink)')
  })
})

describe('the numbers', () => {
  it('what was measured, the worst, the limit, since when and how long until it was sure', () => {
    const view = why('airDry', { worst: 33, toMs: NIGHT + 3_600_000 })
    expect(view.numbers).toEqual([
      { label: 'Humidity', value: '36 %RH' },
      { label: 'Worst so far', value: '33 %RH' },
      { label: 'Limit', value: '40 %RH' },
      { label: 'Since', value: 'Wed 21:50' },
      { label: 'Sure at', value: 'Wed 22:00' },
      { label: 'Until', value: 'Wed 23:10' },
    ])
  })

  it('nothing is said to be measured where nothing was', () => {
    expect(numberOf(why('airDry', { value: null, worst: null }), 'Humidity')).toBeUndefined()
    expect(why('powerLost').numbers.map((n) => n.label)).not.toContain('Worst so far')
  })

  it('units are those the owner likes, and a difference is no temperature', () => {
    const shop = shopInFahrenheit()
    expect(numberOf(why('roomWarm', {}, shop), 'Temperature')).toBe('89.2 °F')
    expect(numberOf(why('bottleNear', {}, shop), 'Holds')).toBe('67.6 fl oz')
    const temperature = { kind: 'sensor', id: 'bench/temperature' } as const
    const apart = why('sensorOutOfStep', { subject: temperature, value: 5 }, shop)
    expect(numberOf(apart, 'Differs by')).toBe('9 °F')
    expect(numberOf(apart, 'Limit')).toBe('9 °F')
    for (const condition of CONDITIONS) {
      expect(JSON.stringify(why(condition, {}, shop)), condition).not.toMatch(/°C|\d mL/)
    }
  })

  it('the interval of a cleaning is told, or learned', () => {
    expect(numberOf(why('notCleaning'), 'Usual interval')).toBe('learned from its own past')
    const told = structuredClone(settings)
    told.machines.forEach((m) => (m.selfCleaning = { kind: 'everyHours', hours: 6 }))
    expect(numberOf(why('notCleaning', {}, told), 'Usual interval')).toBe('6 h, as told')
    expect(numberOf(why('notCleaning', {}, told), 'Limit')).toBe('9 h')
  })

  it('a sensor is silent after its own intervals, and at least the least time', () => {
    expect(numberOf(why('sensorSilent'), 'Limit')).toBe('3 min')
    const quick = structuredClone(settings)
    quick.sensors.forEach((s) => (s.intervalMs = 1000))
    expect(numberOf(why('sensorSilent', {}, quick), 'Limit')).toBe('2 min')
  })

  it('a sensor outdoors is held to what outdoor air can be', () => {
    const outdoors = testSettings({ rooms: [{ id: 'floor', title: 'Roof', outdoors: true }] })
    expect(numberOf(why('sensorImplausible'), 'Highest')).toBe('99.5 %RH')
    expect(numberOf(why('sensorImplausible', {}, outdoors), 'Highest')).toBe('100 %RH')
  })
})
