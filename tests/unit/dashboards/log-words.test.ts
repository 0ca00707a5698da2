import { expect, it } from 'vitest'
import { clockField, instantOf } from '../../../dashboards/src/words/log-words.ts'

it.each([
  ['Europe/Berlin', '2026-03-29T02:30', '2026-03-29T03:30'],
  ['America/New_York', '2026-03-08T02:30', '2026-03-08T03:30'],
  ['Australia/Sydney', '2026-10-04T02:30', '2026-10-04T03:30'],
])('in %s the hour that a clock change skips is taken for the one after it: %s', (zone, text, then) => {
  expect(clockField(instantOf(text, zone), zone)).toBe(then)
})

it('any other time of the shop leads to its instant and back, around a clock change too', () => {
  for (const zone of ['Europe/Berlin', 'America/New_York', 'Australia/Sydney', 'Asia/Kathmandu', 'UTC']) {
    for (const day of ['03-08', '03-29', '10-04', '10-25', '11-01'])
      for (const hour of ['00', '01', '03', '04', '12', '23']) {
        const text = `2026-${day}T${hour}:15`
        expect(clockField(instantOf(text, zone), zone)).toBe(text)
      }
  }
})
