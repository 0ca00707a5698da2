import { expect, it } from 'vitest'
import { createWallClock } from '../../../../../services/core/forecast/wall-clock.ts'

const at = (text: string) => Date.parse(text)
const shown = (wallMs: number) => new Date(wallMs).toISOString().slice(0, 16)

it('reads as the zone does on both sides of a change of clocks, to the minute', () => {
  const stretch = { fromMs: at('2026-03-27T18:00Z'), toMs: at('2026-03-30T06:00Z') }
  const clock = createWallClock({ timeZone: 'Europe/Brussels', ...stretch })

  expect(shown(clock(at('2026-03-29T00:59Z')))).toBe('2026-03-29T01:59')
  expect(shown(clock(at('2026-03-29T01:00Z')))).toBe('2026-03-29T03:00')
  expect(shown(clock(at('2026-03-30T05:00Z')))).toBe('2026-03-30T07:00')
})

it('knows both changes of a long stretch and zones off the whole hour', () => {
  const year = { fromMs: at('2026-01-01T00:00Z'), toMs: at('2026-12-31T00:00Z') }
  const york = createWallClock({ timeZone: 'America/New_York', ...year })

  expect(shown(york(at('2026-02-01T12:00Z')))).toBe('2026-02-01T07:00')
  expect(shown(york(at('2026-07-01T12:00Z')))).toBe('2026-07-01T08:00')
  expect(shown(york(at('2026-12-01T12:00Z')))).toBe('2026-12-01T07:00')
  const nepal = createWallClock({ timeZone: 'Asia/Kathmandu', ...year })
  expect(shown(nepal(at('2026-07-01T12:00Z')))).toBe('2026-07-01T17:45')
})

it('refuses a zone that nobody knows', () => {
  expect(() => createWallClock({ timeZone: 'Nowhere/Land', fromMs: 0, toMs: 1 })).toThrow(RangeError)
})
