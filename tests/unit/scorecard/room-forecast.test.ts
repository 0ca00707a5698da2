import { describe, expect, it } from 'vitest'
import { asMarkdown, roomForecastScores } from '../../scorecard/room-forecast.ts'
import type { RoomScore } from '../../scorecard/score-nights.ts'

const scores = roomForecastScores()
const [office, ironing, elsewhere] = scores.rooms
const gainOf = (room: RoomScore | undefined) => room?.gain ?? NaN

/**
 * What was measured when this was written stands beside each check; the checks keep a margin below it, so that they
 * guard against getting worse and do not restate the figures.
 */
describe('the room forecast on open indoor data, from the evening to 08:00', () => {
  it('errs at least 20 % less than persistence, pooled over the rooms', () => {
    // Measured: 24.1 % pooled, 27.7 % on the two rooms that nothing was tuned on.
    expect(scores.pooled.gain).toBeGreaterThan(0.2)
    expect(scores.untouched.gain).toBeGreaterThan(0.2)
  })

  it('is worse than persistence in no room, even at the low end of the bootstrap', () => {
    // Measured gains 13.6, 32.0 and 17.8 %; low ends 6.0, 23.4 and 13.0 % (the last from 7 nights, so worth little).
    for (const room of scores.rooms) expect(room.gainLow, room.title).toBeGreaterThan(-0.02)
    expect(gainOf(office)).toBeGreaterThan(0.1)
    expect(gainOf(ironing)).toBeGreaterThan(0.27)
    expect(gainOf(elsewhere)).toBeGreaterThan(0.1)
  })

  it('holds 75 to 85 % of the measured values within its 80 % band', () => {
    // Measured: 79.0 % pooled; 78.2, 79.8 and 79.1 % by room.
    for (const room of [...scores.rooms, scores.pooled, scores.untouched]) {
      expect(room.cover, room.title).toBeGreaterThan(0.75)
      expect(room.cover, room.title).toBeLessThan(0.85)
    }
  })

  it('judges every night that has enough past', () => {
    expect(scores.rooms.map((r) => r.nights)).toEqual([128, 128, 7])
  })

  it('helps over a weekend too, with a band that is a little narrow', () => {
    // Measured over 62 h: 6.0 and 21.5 % better, 73.5 and 74.4 % within the 80 % band.
    for (const room of scores.weekends) {
      expect(room.gain, room.title).toBeGreaterThan(0.03)
      expect(room.cover, room.title).toBeGreaterThan(0.7)
    }
  })

  it('can do worse than persistence in its first weeks', () => {
    // Measured on 6 nights with 7 to 12 nights of past: 37.8 % better in one room, 29.3 % worse in the other.
    const [, second] = scores.sameAir
    expect(second?.nights).toBe(6)
    expect(gainOf(second)).toBeGreaterThan(-0.4)
  })

  it('prints a table with a line for each room', () => {
    const lines = asMarkdown(scores).split('\n')
    expect(lines.filter((line) => line.startsWith('| house, ironing room'))).toHaveLength(3)
  })
})
