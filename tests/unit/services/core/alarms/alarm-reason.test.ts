import { describe, expect, it } from 'vitest'
import { alarmReason, REASONS } from '../../../../../services/core/alarms/alarm-reason.ts'
import { CONDITIONS, type Episode } from '../../../../../services/core/model/episode.ts'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf, everyEpisodeOf, NIGHT, shopInFahrenheit, UNSPEAKABLE } from './every-condition.ts'

const settings = testSettings()
const said = (episode: Episode, shop: Settings = settings) =>
  alarmReason(episode, { settings: shop, nowMs: NIGHT })

describe('ISA-18.2: cause, consequence, action and time to act, or it is no alarm', () => {
  it('every condition has words, and no other', () => {
    expect(Object.keys(REASONS).sort()).toEqual([...CONDITIONS].sort())
  })

  it.each(CONDITIONS)('%s has all four, whatever its value, by night and by day', (condition) => {
    for (const episode of everyEpisodeOf(condition)) {
      const { title, cause, consequence, action, timeToAct } = said(episode)
      for (const text of [cause, consequence, action, timeToAct]) {
        expect(text).toMatch(/^[A-Z0-9].*\.$/)
        expect(text).not.toMatch(UNSPEAKABLE)
      }
      expect(title).toMatch(/^[A-Z].*[^.]$/)
      expect(title).not.toMatch(UNSPEAKABLE)
      expect(title.length).toBeLessThan(80)
    }
  })

  it.each(CONDITIONS)(
    '%s says since when it is, in the zone of the shop, unless it is yet to come',
    (condition) => {
      const ahead = condition === 'headWillDry' || condition === 'bottleWillFill'
      expect(said(episodeOf(condition)).cause.includes('21:50')).toBe(!ahead)
      expect(said(episodeOf(condition), shopInFahrenheit()).cause.includes('15:50')).toBe(!ahead)
    },
  )

  it.each(CONDITIONS)('%s speaks of a subject that the settings no longer know by its id', (condition) => {
    const bare = testSettings({ rooms: [], machines: [], bottles: [], nodes: [], sensors: [] })
    const { title, cause } = said(episodeOf(condition), bare)
    expect(`${title} ${cause}`).not.toMatch(UNSPEAKABLE)
  })

  it('titles stay under 80 characters in a shop that likes long names', () => {
    const long = (text: string) => text.padEnd(30, ' and more')
    const shop = structuredClone(settings)
    shop.rooms.forEach((r) => (r.title = long('Print floor')))
    shop.machines.forEach((m) => (m.title = long('Roll 60')))
    shop.bottles.forEach((b) => (b.title = long('Waste bottle')))
    shop.nodes.forEach((n) => (n.title = long('Bench node')))
    for (const condition of CONDITIONS) {
      expect(said(episodeOf(condition), shop).title.length, condition).toBeLessThan(80)
    }
  })
})

describe('what the value of an episode says', () => {
  it('humidity and its limit', () => {
    expect(said(episodeOf('airDry', { value: 39.6 })).cause).toBe(
      'Humidity fell to 39.6 %RH; it has been below 40 %RH since 21:50.',
    )
    expect(said(episodeOf('airDamp')).cause).toMatch(/rose to 71\.2 %RH.*above 65 %RH/)
  })

  it('temperatures in the unit the owner likes', () => {
    expect(said(episodeOf('roomCold')).cause).toMatch(/fell to 13\.3 °C.*below 15 °C/)
    expect(said(episodeOf('roomCold'), shopInFahrenheit()).cause).toMatch(/fell to 55\.9 °F.*below 59 °F/)
    expect(said(episodeOf('roomCold'), shopInFahrenheit()).action).toContain('68 °F')
    for (const condition of CONDITIONS) {
      const words = Object.values(said(episodeOf(condition), shopInFahrenheit())).join(' ')
      expect(words, condition).not.toMatch(/°C|\d mL/)
    }
  })

  it('volumes in the unit the owner likes', () => {
    expect(said(episodeOf('bottleNear')).cause).toBe(
      'The scale says 82 %, 1650 mL of 2000 mL; it has been above the mark of 80 % since 21:50.',
    )
    expect(said(episodeOf('bottleNear'), shopInFahrenheit()).cause).toContain('55.8 fl oz of 67.6 fl oz')
    expect(said(episodeOf('wasteNotArriving'), shopInFahrenheit()).cause).toContain('42 g (1.4 fl oz)')
  })

  it('a difference of temperature is no temperature: 5 K are 9 °F', () => {
    const episode = episodeOf('sensorOutOfStep', {
      subject: { kind: 'sensor', id: 'bench/temperature' },
      value: -5,
    })
    expect(said(episode).cause).toContain('5 °C lower')
    expect(said(episode, shopInFahrenheit()).cause).toContain('9 °F lower')
  })

  it('who says so: a person or the power, a person or the meter', () => {
    expect(said(episodeOf('offItsCap', { value: 0 })).title).toContain('probably off its cap')
    expect(said(episodeOf('offItsCap', { value: 1 })).title).not.toContain('probably')
    expect(said(episodeOf('stoppedOnError', { value: 1 })).title).toContain('probably')
    expect(said(episodeOf('stoppedOnError', { value: 0 })).cause).toBe('Somebody said so at 21:50.')
  })

  it('one pack is one pack', () => {
    expect(said(episodeOf('readingsMissing', { value: 1 })).cause).toMatch(/^1 pack of/)
    expect(said(episodeOf('readingsMissing', { value: 12 })).cause).toMatch(/^12 packs of/)
  })

  it('lengths of time in words', () => {
    expect(said(episodeOf('notCleaning')).cause).toContain('9 h 15 min')
    expect(said(episodeOf('clockAhead')).cause).toContain('5 min in the future')
    expect(said(episodeOf('monitorDark')).cause).toContain('42 min')
  })
})

it('where power is the trouble, the action says to look and when to leave it to an electrician', () => {
  for (const condition of ['powerLost', 'powerFlickering', 'mainsLost'] as const) {
    expect(said(episodeOf(condition)).action, condition).toMatch(/electrician/)
  }
  expect(said(episodeOf('offItsCap', { value: 0 })).action).toMatch(/electrician/)
})

it('waste ink always goes by local rules', () => {
  for (const condition of CONDITIONS) {
    const { action } = said(episodeOf(condition))
    if (/[Dd]ispose/.test(action)) expect(action, condition).toContain('by your local rules')
  }
  for (const condition of ['bottleNear', 'bottleFull', 'bottleWillFill'] as const) {
    expect(said(episodeOf(condition)).action).toContain('local rules')
  }
})
