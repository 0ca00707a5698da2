import { describe, expect, it } from 'vitest'
import { learnNightly, type NightlyQuestion } from '../../../../../services/core/learn/nightly.ts'
import { learnedKey, type Learned } from '../../../../../services/core/model/learned.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR
/** Wednesday noon in Brussels. */
const NOW = Date.parse('2026-11-25T11:00:00Z')

const base = testSettings()
const METER = {
  id: 'bench/power',
  quantity: 'power',
  subject: { kind: 'machine', id: 'roll' },
  intervalMs: MIN,
}
const settings = testSettings({
  sensors: [...base.sensors.filter((s) => s.quantity !== 'powered'), METER],
})
const calendar = openingCalendar(settings)

const flicker = (atMs: number): number => ((Math.floor(atMs / MIN) * 7) % 11) / 10

/** Four minutes of cleaning every four hours, prints of 25 min in open hours, else rest. */
function powerAt(atMs: number): number {
  if (atMs % (4 * HOUR) < 4 * MIN) return 110 + flicker(atMs)
  return calendar.isOpenAt(atMs) && (atMs / MIN) % 60 >= 10 && (atMs / MIN) % 60 < 35
    ? 190 + flicker(atMs)
    : 40
}

/** Twelve grams a cleaning on top of an empty bottle, emptied once a week. */
function massAt(atMs: number): number {
  const cleanings = Math.floor((atMs % (7 * DAY)) / (4 * HOUR))
  return 0.2 + cleanings * 0.012
}

const VALUE: Readonly<Record<string, (atMs: number) => number>> = {
  'bench/humidity': (atMs) => 47 + 4 * Math.sin((atMs / DAY) * 2 * Math.PI),
  'bench/temperature': () => 21,
  'bench/power': powerAt,
  'bench/bottle': massAt,
}

const series: NightlyQuestion['series'] = ({ sensorId, fromMs, toMs, bucketMs }) => {
  const valueAt = VALUE[sensorId]
  const points = []
  for (let atMs = Math.ceil(fromMs / bucketMs) * bucketMs; valueAt && atMs < toMs; atMs += bucketMs) {
    const value = valueAt(atMs + bucketMs - MIN)
    points.push({ atMs, min: value, mean: value, max: value, last: value })
  }
  return points
}

const ask = (inForce: readonly Learned[] = [], past = series) =>
  learnNightly({
    settings,
    calendar,
    inForce: new Map(inForce.map((l) => [learnedKey(l), l])),
    series: past,
    nowMs: NOW,
  })

describe('what a day teaches', () => {
  const lessons = ask()
  const of = <K extends Learned['kind']>(kind: K) =>
    lessons.find((l) => l.learned.kind === kind)?.learned as Extract<Learned, { kind: K }> | undefined

  it('NIGHTLY-1 the room, the meter, the cleanings, the bottle and what a cleaning adds to it', () => {
    expect(lessons.map((l) => learnedKey(l.learned))).toEqual([
      'roomNights|floor',
      'powerBands|roll',
      'cleaningInterval|roll',
      'fillProfile|roll-waste',
      'cleaningWaste|roll',
    ])
    expect(lessons.every((l) => !l.waiting)).toBe(true)
    expect(of('roomNights')?.days).toHaveLength(28)
    const bands = of('powerBands')
    expect(bands?.cleaningW?.[0]).toBeGreaterThan(45)
    expect(bands?.cleaningW?.[0]).toBeLessThan(110)
    expect(bands?.printingW?.[0]).toBeGreaterThan(115)
  })
  it('NIGHTLY-1 the interval runs from the end of one cleaning to the beginning of the next', () => {
    expect(of('cleaningInterval')?.hours).toBeCloseTo(4 - 4 / 60, 1)
  })
  it('NIGHTLY-1 a cleaning adds what it adds', () => {
    expect(of('cleaningWaste')?.gramsPerCleaning).toBeCloseTo(12, 0)
    expect(of('cleaningWaste')?.cleanings).toBeGreaterThan(20)
  })
  it('NIGHTLY-2 bands that moved by over a fifth wait, and what stands meanwhile serves the rest', () => {
    const bands = of('powerBands')
    if (!bands) throw new Error('the bands were learned')
    const far = { ...bands, printingW: [500, 900] as [number, number] }
    const again = ask([far])
    expect(again.find((l) => l.learned.kind === 'powerBands')?.waiting).toBe(true)
    expect(again.find((l) => l.learned.kind === 'cleaningInterval')?.waiting).toBe(false)
    expect(ask([bands]).every((l) => !l.waiting)).toBe(true)
  })
  it('NIGHTLY-4 bands that lose the cleanings or the prints that are known are not offered', () => {
    const hides = (fromW: number, toW: number): NightlyQuestion['series'] => {
      return (range) =>
        series(range).map((p) => {
          const hidden = range.quantity === 'power' && p.mean >= fromW && p.mean <= toW
          return hidden ? { ...p, min: 40, mean: 40, max: 40, last: 40 } : p
        })
    }
    const bands = of('powerBands')
    if (!bands) throw new Error('the bands were learned')
    for (const past of [hides(105, 115), hides(185, 195)]) {
      const kinds = (inForce: readonly Learned[]) => ask(inForce, past).map((l) => l.learned.kind)
      expect(kinds([])).toContain('powerBands')
      expect(kinds([bands])).not.toContain('powerBands')
    }
  })
  it('NIGHTLY-3 a shop without a past is taught nothing', () => {
    expect(ask([], () => [])).toEqual([])
  })
})
