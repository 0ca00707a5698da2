import { describe, expect, it } from 'vitest'
import {
  fireSilent,
  noteReceived,
  silentDeadlineMs,
} from '../../../../../services/core/detect/sensor-silent.ts'
import { EVERY_MS, sensorOn, simulatedAir } from './simulated-air.ts'
import { DAY, drawsOf, HOUR, watchRoom, type Found } from './watched-room.ts'

const TRIALS = 20
const BEFORE_MS = 2 * DAY

const year = simulatedAir({ seed: 3, days: 365 })
/** What three fine sensors in three corners of the print floor say through the year. */
const corners = [0.5, -1.2, 0.1].map((offset, i) => {
  const sensor = sensorOn(`corner/${i}`, { offset, noise: 0.06, perUnit: 100 })
  return year.map(({ atMs, humidityPct }) => sensor(humidityPct, atMs))
})

/** What a dying sensor says instead of `good`. */
type Death = (good: number, now: { sinceMs: number; last: number; draw: () => number }) => number

const sticks: Death = (_, { last }) => last
const driftsAway: Death = (good, { sinceMs }) => Math.round((good + (0.75 * sinceMs) / DAY) * 100) / 100
const readsSpikes: Death = (good, { draw }) => (draw() < 0.2 ? Math.round(draw() * 10_000) / 100 : good)
const fallsToTheRail: Death = (_, { draw }) => Math.round(draw() * 10) / 100
const fallsToFive: Death = (_, { draw }) => Math.round((5 + draw()) * 100) / 100

/** In every trial sensors of one room live for two days, then the first begins to die. What was found, how soon. */
function die(death: Death, { sensors, days }: { sensors: number; days: number }) {
  const draw = drawsOf(17)
  const afterH: number[] = []
  const count = { hits: 0, falseAlarms: 0, othersBlamed: 0 }
  const causes = new Set<string>()
  for (let trial = 0; trial < TRIALS; trial++) {
    const steps = (BEFORE_MS + days * DAY) / EVERY_MS
    const from = Math.floor(draw() * (year.length - steps))
    const diesMs = (year[from]?.atMs ?? 0) + BEFORE_MS
    const found = oneDeath({ from, to: from + steps, diesMs, death, sensors, draw })
    count.falseAlarms += found.filter((f) => openedMs(f) < diesMs).length
    const after = found.filter((f) => openedMs(f) >= diesMs)
    if (after.some((f) => f.sensorId !== 'floor/a')) count.othersBlamed++
    const hit = after.find((f) => f.sensorId === 'floor/a')
    if (!hit) continue
    count.hits++
    causes.add(hit.condition)
    afterH.push((openedMs(hit) - diesMs) / HOUR)
  }
  return { ...count, causes: [...causes], worstH: Math.ceil(Math.max(0, ...afterH)) }
}

function openedMs({ finding }: Found): number {
  return finding.type === 'opened' ? finding.openedMs : Infinity
}

function oneDeath(one: {
  readonly from: number
  readonly to: number
  readonly diesMs: number
  readonly death: Death
  readonly sensors: number
  readonly draw: () => number
}): readonly Found[] {
  const room = watchRoom({ sensors: one.sensors, intervalMs: EVERY_MS })
  let last = 0
  for (let at = one.from; at < one.to; at++) {
    const atMs = year[at]?.atMs ?? 0
    for (const [i, id] of room.ids.entries()) {
      const good = corners[i]?.[at] ?? 0
      const dying = i === 0 && atMs >= one.diesMs
      const value = dying ? one.death(good, { sinceMs: atMs - one.diesMs, last, draw: one.draw }) : good
      room.read(id, atMs, value)
      if (i === 0) last = value
    }
  }
  return room.found.filter((f) => f.finding.type === 'opened')
}

describe('five ways a sensor dies, 20 times each, on a simulated year of air', () => {
  it('SILENT-1 it falls silent: nothing is said of its trust, and its silence is found after its limit', () => {
    const silent = { lastReceivedMs: 0, holdUntilMs: 0, open: false }
    expect(noteReceived(silent, HOUR)).toBeNull()
    const dueMs = silentDeadlineMs(silent, 3 * EVERY_MS)
    expect(fireSilent(silent, dueMs)).toMatchObject({ fromMs: HOUR, openedMs: HOUR + 3 * EVERY_MS })
    const room = watchRoom({ sensors: 2, intervalMs: EVERY_MS })
    for (let at = 0; at < 3000; at++) {
      for (const [i, id] of room.ids.entries()) {
        if (i === 0 && at > 1000) continue
        room.read(id, year[at]?.atMs ?? 0, corners[i]?.[at] ?? 0)
      }
    }
    expect(room.found).toEqual([])
  })
  it.each([1, 2, 3])('it sticks, one of %d: found each time within 8 h, and no other blamed', (sensors) => {
    const { worstH, ...found } = die(sticks, { sensors, days: 1 })
    expect(found).toEqual({
      hits: 20,
      falseAlarms: 0,
      othersBlamed: 0,
      causes: ['sensorStuck'],
    })
    expect(worstH).toBeLessThanOrEqual(8)
  })
  it('it drifts away by 0.75 %RH a day: alone it is not found, for nothing but a neighbour can tell', () => {
    expect(die(driftsAway, { sensors: 1, days: 20 })).toMatchObject({ hits: 0, falseAlarms: 0 })
  })
  it('it drifts away beside one other: both are found within two weeks, for it cannot be told which', () => {
    const { worstH, ...found } = die(driftsAway, { sensors: 2, days: 20 })
    expect(found).toEqual({
      hits: 20,
      falseAlarms: 0,
      othersBlamed: 20,
      causes: ['sensorOutOfStep'],
    })
    expect(worstH).toBeLessThanOrEqual(336)
  })
  it('it drifts away among three: it alone is found, within 16 days', () => {
    const { worstH, ...found } = die(driftsAway, { sensors: 3, days: 20 })
    expect(found).toEqual({
      hits: 20,
      falseAlarms: 0,
      othersBlamed: 0,
      causes: ['sensorOutOfStep'],
    })
    expect(worstH).toBeLessThanOrEqual(384)
  })
  it.each([1, 2, 3])(
    'it reads garbage one time in five, one of %d: found each time within 12 h, and no other blamed',
    (sensors) => {
      const { worstH, ...found } = die(readsSpikes, { sensors, days: 2 })
      expect(found).toEqual({
        hits: 20,
        falseAlarms: 0,
        othersBlamed: 0,
        causes: ['sensorImplausible'],
      })
      expect(worstH).toBeLessThanOrEqual(12)
    },
  )
  it.each([1, 2, 3])(
    'it falls to the rail, one of %d: found each time within an hour, and no other blamed',
    (sensors) => {
      const { worstH, ...found } = die(fallsToTheRail, { sensors, days: 1 })
      expect(found).toEqual({
        hits: 20,
        falseAlarms: 0,
        othersBlamed: 0,
        causes: ['sensorImplausible'],
      })
      expect(worstH).toBeLessThanOrEqual(1)
    },
  )
  it.each([2, 3])(
    'it falls to five percent, one of %d: found each time within four hours, and no other blamed',
    (sensors) => {
      const { worstH, ...found } = die(fallsToFive, { sensors, days: 1 })
      expect(found).toEqual({
        hits: 20,
        falseAlarms: 0,
        othersBlamed: 0,
        causes: ['sensorOutOfStep'],
      })
      expect(worstH).toBeLessThanOrEqual(4)
    },
  )
  it('it falls to five percent alone: not found, for desert air and a deep winter come near it', () => {
    expect(die(fallsToFive, { sensors: 1, days: 1 })).toMatchObject({ hits: 0, falseAlarms: 0 })
  })
})

describe('good sensors through a simulated year', () => {
  const quantities = ['humidity', 'temperature'] as const
  it.each([
    ['three fine ones in three corners', [0.5, -1.2, 0.1], 0.06, 100],
    ['one without noise that tells tenths', [0], 0, 10],
    ['a coarse pair that rounds to 1 %RH and 1 K, at the ends of their tolerance', [2.5, -2.5], 0, 1],
  ])(
    '%s: no false alarm',
    (_, offsets, noise, perUnit) => {
      let readings = 0
      for (const quantity of quantities) {
        const scale = quantity === 'humidity' ? 1 : 0.3
        const probes = offsets.map((o, i) =>
          sensorOn(`${quantity}/${i}`, { offset: o * scale, noise: noise * scale, perUnit }),
        )
        const room = watchRoom({ quantity, sensors: offsets.length, intervalMs: EVERY_MS })
        for (const { atMs, humidityPct, temperatureC } of year) {
          for (const [i, id] of room.ids.entries()) {
            room.read(id, atMs, probes[i]?.(quantity === 'humidity' ? humidityPct : temperatureC, atMs) ?? 0)
            readings++
          }
        }
        expect(room.found).toEqual([])
      }
      expect(readings).toBe(2 * offsets.length * year.length)
    },
    60_000,
  )
  it('a room that swings by 15 K within a day, as the sun and the night make it, raises nothing', () => {
    const room = watchRoom({ quantity: 'temperature', sensors: 2, intervalMs: EVERY_MS })
    for (let i = 0; i < (60 * DAY) / EVERY_MS; i++) {
      const atMs = i * EVERY_MS
      const swing = 19.5 - 7.5 * Math.cos((2 * Math.PI * atMs) / DAY)
      room.read('floor/a', atMs, Math.round(swing * 100) / 100)
      room.read('floor/b', atMs, Math.round((swing + 1.5) * 10) / 10)
    }
    expect(room.found).toEqual([])
  })
  it('the simulated air is no easy air: it falls fast and covers a wide range', () => {
    let steepest = 0
    year.forEach(({ humidityPct }, i) => {
      const before = year[i - 1]
      if (before) steepest = Math.max(steepest, Math.abs(humidityPct - before.humidityPct))
    })
    const all = year.map((a) => a.humidityPct)
    // 15 %RH at once and 2 %RH a minute are allowed: 25 in five minutes.
    expect(steepest).toBeGreaterThan(15)
    expect(steepest).toBeLessThan(25)
    expect(Math.min(...all)).toBeLessThan(30)
    expect(Math.max(...all)).toBeGreaterThan(60)
  })
})
