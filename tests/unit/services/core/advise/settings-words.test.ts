import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  LIMIT_WORDS,
  limitLeaves,
  limitText,
} from '../../../../../services/core/advise/settings-words/limit-words.ts'
import { settingsDifferences } from '../../../../../services/core/advise/settings-words/settings-differences.ts'
import {
  emptySettings,
  limitsSchema,
  settingsSchema,
  type Settings,
} from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const before = testSettings()
/** The first of a list that has one. */
function first<T>([one]: readonly T[]): T {
  if (one === undefined) throw new Error('the list is empty')
  return one
}
const texts = (after: Settings, from = before) => settingsDifferences(from, after).map(({ text }) => text)
const changed = (edit: (settings: Settings) => void): Settings => {
  const after = structuredClone(before)
  edit(after)
  return settingsSchema.parse(after)
}

it('LIMIT-WORDS-1 each limit has its words once', () => {
  const paths = limitLeaves(limitsSchema.parse({})).map(({ path }) => path)
  expect(LIMIT_WORDS.map(({ path }) => path).toSorted()).toEqual(paths.toSorted())
  expect(LIMIT_WORDS.filter(({ meaning }) => !/^[A-Z].*\.$/.test(meaning))).toEqual([])
})

it.each([
  ['airDryPct.onDelayMs', 600_000, '10 min'],
  ['forecast.wakeProbability', 0.8, '80 %'],
  ['exposureFactor.uncapped', 50, '50'],
] as const)('a limit is told in the unit that people use: %s', (path, value, text) => {
  expect(limitText(path, value)).toBe(text)
})

describe('settings that differ, in words', () => {
  it.each<[string, (settings: Settings) => void, string[]]>([
    ['a limit', (s) => void (s.limits.airDryPct.openBelow = 38), ['Dry air, told below: from 40 to 38 %RH']],
    ['a delay', (s) => void (s.limits.airDryPct.onDelayMs = 300_000), ['Dry air, told after: from 10 to 5 min']],
    ['a field of a room', (s) => void Object.assign(first(s.rooms), { targetPct: 50 }), ['Room Print floor, humidity to hold: from 45 to 50 %RH']],
    ['a field that comes', (s) => void Object.assign(first(s.rooms), { volumeM3: 120 }), ['Room Print floor, volume of air: now 120 m³']],
    ['a new room', (s) => void s.rooms.push({ ...first(s.rooms), id: 'store', title: 'Store' }), ['Room Store: added']],
    ['a new name', (s) => void (first(s.rooms).title = 'Hall'), ['Room Print floor, name: from Print floor to Hall']],
    ['self-cleaning', (s) => void (first(s.machines).selfCleaning = { kind: 'everyHours', hours: 6 }), ['Machine Roll 60, left bench, cleans itself: from not known to every 6 h']],
    ['a channel group', (s) => void first(first(s.machines).heads).channelGroups.pop(), ['Machine Roll 60, left bench, head Head, channel group White: removed']],
    ['a sensor that is moved', (s) => void (s.sensors.shift()), ['Sensor bench/humidity: removed']],
    ['hours of several days', (s) => void s.hours.weekly.forEach((o) => (o.closes = '19:00')), ['Opening hours, Monday to Friday: from 08:30-18:00 to 08:30-19:00']],
    ['a holiday', (s) => void s.hours.holidays.push('2027-01-01'), ['Closed on 2027-01-01: added']],
    ['the clock', (s) => void (s.site.timeZone = 'UTC'), ['Shop, time zone: from Europe/Brussels to UTC']],
    ['mail', (s) => void (s.mail = { host: 'mail.example.org', port: 587, security: 'startTls', from: 'a@example.org' }), ['Mail, server: now mail.example.org', 'Mail, port: now 587', 'Mail, encryption: now startTls', 'Mail, sent from: now a@example.org']],
    ['power bands', (s) => void (first(s.machines).powerBandsW = { cleaning: [90, 130] }), ['Machine Roll 60, left bench, power while cleaning: now 90 to 130 W']],
    ['a correction', (s) => void (first(s.sensors.slice(3)).correction = { scale: 2, offset: 0.5 }), ['Sensor bench/bottle, scale: now 2', 'Sensor bench/bottle, offset: now 0.5']],
    ['order alone', (s) => void s.hours.weekly.reverse(), ['The same as before, written in another order']],
  ])('%s', (_, edit, expected) => {
    expect(texts(changed(edit))).toEqual(expected)
  }) // prettier-ignore

  it('DIFF-2 another order of the contacts is told', () => {
    const contact = { times: 'always', morningReport: true, closingReminder: true, push: true } as const
    const two = [
      { ...contact, id: 'ana', title: 'Ana' },
      { ...contact, id: 'ben', title: 'Ben' },
    ]
    const from = changed((s) => void (s.contacts = two))
    const after = changed((s) => void (s.contacts = two.toReversed()))
    expect(texts(after, from)).toEqual(['Contacts are asked in another order: Ben, Ana'])
  })

  it('DIFF-3 a whole new shop is told by its things, each with its title', () => {
    const lines = texts(before, emptySettings())
    expect(lines).toContain('Shop, name: from My shop to Quayside Film & Print')
    expect(lines).toContain('Sensor bench/bottle: added, measures Waste bottle, left bench')
    expect(lines).toContain('Machine Roll 60, left bench: added, stands in Print floor')
  })

  it('DIFF-1 equal settings differ in nothing, and any limit that moved is told by its own line', () => {
    const leaves = limitLeaves(before.limits)
    let moved = 0
    fc.assert(
      fc.property(fc.nat(leaves.length - 1), fc.double({ min: 0.01, max: 2, noNaN: true }), (at, factor) => {
        const { path, value } = first(leaves.slice(at))
        const after = structuredClone(before)
        const parts = path.split('.')
        const last = parts.pop() ?? ''
        const holder = parts.reduce<Record<string, unknown>>((o, p) => o[p] as Record<string, unknown>, after.limits)
        holder[last] = value * factor
        const found = settingsDifferences(before, after)
        if (value * factor === value) return expect(found).toEqual([])
        moved++
        expect(found.map((d) => d.path)).toEqual([`limits.${path}`])
        expect(settingsDifferences(after, after)).toEqual([])
      }),
    )
    expect(moved).toBeGreaterThan(20)
  })
}) // prettier-ignore
