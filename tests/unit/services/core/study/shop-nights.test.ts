import { expect, it } from 'vitest'
import { shopNights } from '../../../../../services/core/study/shop-nights.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const at = (text: string): number => Date.parse(text)
const told = (nights: ReturnType<typeof shopNights>): string[] =>
  nights.map((n) => `${n.nightOf} ${(n.toMs - n.fromMs) / 3_600_000} h`)
const since = (text: string, change: Record<string, unknown> = {}) => ({
  sinceMs: at(text),
  settings: testSettings(change),
})

// The shop is open on weekdays from 08:30 to 18:00 in Brussels.
it('SHOPNIGHT-1 a night lasts from closing to opening; a weekend is one night, that of its Friday', () => {
  const nights = shopNights([since('2026-11-25T12:00:00Z')], at('2026-12-01T12:00:00Z'))
  expect(told(nights)).toEqual([
    '2026-11-25 14.5 h',
    '2026-11-26 14.5 h',
    '2026-11-27 62.5 h',
    '2026-11-30 14.5 h',
  ])
  expect(nights[0]).toMatchObject({ fromMs: at('2026-11-25T17:00:00Z'), toMs: at('2026-11-26T07:30:00Z') })
})

it('SHOPNIGHT-1 the weekend in which clocks change is an hour shorter in March and longer in October', () => {
  const march = shopNights([since('2026-03-27T12:00:00Z')], at('2026-03-30T12:00:00Z'))
  expect(told(march)).toEqual(['2026-03-27 61.5 h'])
  const october = shopNights([since('2026-10-23T12:00:00Z')], at('2026-10-26T12:00:00Z'))
  expect(told(october)).toEqual(['2026-10-23 63.5 h'])
})

it('SHOPNIGHT-1 closed days make one long night, a break of under four hours none, and the night that runs none yet', () => {
  const hours = {
    weekly: [1, 2, 3, 4, 5].flatMap((weekday) => [
      { weekday, opens: '08:00', closes: '12:00' },
      { weekday, opens: '13:00', closes: '18:00' },
    ]),
    holidays: ['2026-11-26', '2026-11-27'],
  }
  const nights = shopNights([since('2026-11-24T12:00:00Z', { hours })], at('2026-11-30T20:00:00Z'))
  expect(told(nights)).toEqual(['2026-11-24 14 h', '2026-11-25 110 h'])
})

it('SHOPNIGHT-2 hours count as they were set when the night began, and nights never overlap', () => {
  const later = { weekly: [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '10:00', closes: '19:00' })) }
  // Changed on Wednesday at 19:00, within a night that began at 18:00 and will end at 08:30.
  const past = [since('2026-11-24T12:00:00Z'), since('2026-11-25T18:00:00Z', { hours: later })]
  expect(told(shopNights(past, at('2026-11-27T12:00:00Z')))).toEqual([
    '2026-11-24 14.5 h',
    '2026-11-25 14.5 h',
    '2026-11-26 15 h',
  ])
})

it('SHOPNIGHT-3 a shop without hours has nights from noon to noon, 23 or 25 hours when clocks change', () => {
  const past = [since('2026-03-27T08:00:00Z', { hours: { weekly: [] } })]
  expect(told(shopNights(past, at('2026-03-30T12:00:00Z')))).toEqual([
    '2026-03-27 24 h',
    '2026-03-28 23 h',
    '2026-03-29 24 h',
  ])
})

it('SHOPNIGHT-4 what is closed when the record begins is no night', () => {
  expect(told(shopNights([since('2026-11-25T22:00:00Z')], at('2026-11-27T12:00:00Z')))).toEqual([
    '2026-11-26 14.5 h',
  ])
  expect(shopNights([], at('2026-11-27T12:00:00Z'))).toEqual([])
})
