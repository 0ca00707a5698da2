import { expect, it } from 'vitest'
import { alarmReason } from '../../../../../services/core/alarms/alarm-reason.ts'
import { lastsTooLongMs, urgencyOf } from '../../../../../services/core/alarms/urgency.ts'
import { CONDITIONS, type Condition } from '../../../../../services/core/model/episode.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf, everyEpisodeOf, NIGHT } from './every-condition.ts'

const settings = testSettings()
const of = (condition: Condition, change: Parameters<typeof episodeOf>[1] = {}) =>
  urgencyOf(episodeOf(condition, change), { settings, nowMs: NIGHT })

it('URGENT-1 these alone can wake somebody, and by day only a head off its cap is for now', () => {
  const at = (shopClosed: boolean) =>
    CONDITIONS.filter((c) =>
      everyEpisodeOf(c).some(
        (e) => e.shopClosed === shopClosed && urgencyOf(e, { settings, nowMs: NIGHT }) === 'now',
      ),
    )
  expect(at(true)).toEqual([
    'headWillDry',
    'offItsCap',
    'mainsLost',
    'bottleFull',
    'bottleWillFill',
    'bottleMissing',
  ])
  expect(at(false)).toEqual(['offItsCap'])
})

it.each(['headWillDry', 'bottleWillFill'] as const)(
  'URGENT-2 %s wakes from wakeProbability on, at night alone, and never without a probability',
  (condition) => {
    expect(of(condition, { value: 80 })).toBe('now')
    expect(of(condition, { value: 79.9 })).toBe('beforeOpening')
    expect(of(condition, { value: null })).toBe('beforeOpening')
    expect(of(condition, { value: 100, shopClosed: false })).toBe('beforeOpening')
    const wary = testSettings({ limits: { forecast: { listProbability: 0.5, wakeProbability: 0.6 } } })
    expect(urgencyOf(episodeOf(condition, { value: 60 }), { settings: wary, nowMs: NIGHT })).toBe('now')
  },
)

it.each(['powerLost', 'leftOff', 'headDrying', 'bottleNear', 'airVeryDry'] as const)(
  'URGENT-3 %s waits for the morning at night, and is for today by day',
  (condition) => {
    expect(of(condition)).toBe('beforeOpening')
    expect(of(condition, { shopClosed: false })).toBe('today')
  },
)

it('URGENT-3 the mains are for now at night from `powerOff.toldMs` on, and a short outage wakes nobody', () => {
  const since = (minutes: number) => ({ fromMs: NIGHT - minutes * 60_000 })
  expect(of('mainsLost', since(14.9))).toBe('beforeOpening')
  expect(of('mainsLost', since(15))).toBe('now')
  expect(of('mainsLost', { ...since(90), shopClosed: false })).toBe('today')
  expect(lastsTooLongMs(episodeOf('mainsLost', since(0)), settings)).toBe(NIGHT + 15 * 60_000)
  expect(lastsTooLongMs(episodeOf('powerLost', since(0)), settings)).toBe(Infinity)
})

it('URGENT-4 sensors, nodes and the monitor are for today at any hour', () => {
  const watchers: Condition[] = [
    'sensorSilent',
    'sensorStuck',
    'sensorImplausible',
    'sensorOutOfStep',
    'readingsMissing',
    'clockAhead',
    'monitorDark',
  ]
  for (const condition of watchers) {
    expect(of(condition), condition).toBe('today')
    expect(of(condition, { shopClosed: false }), condition).toBe('today')
  }
})

it('what is for now says so in its time to act, and nothing else does', () => {
  for (const episode of CONDITIONS.flatMap(everyEpisodeOf)) {
    const { urgency, timeToAct } = alarmReason(episode, { settings, nowMs: NIGHT })
    expect(/^(Now\b|Tonight\b)/.test(timeToAct), `${episode.id} ${timeToAct}`).toBe(urgency === 'now')
  }
})
