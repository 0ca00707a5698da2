import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { extremesWords } from '../../../dashboards/src/past/extremes.ts'
import { isolatedIn, joined } from '../../../dashboards/src/past/joined.ts'
import { onKey } from '../../../dashboards/src/past/keys.ts'
import { heightsOf, lanesOf } from '../../../dashboards/src/past/lanes.ts'
import { fromQuery, toQuery, type PastLink } from '../../../dashboards/src/past/link.ts'
import { readOut, stretchWords } from '../../../dashboards/src/past/read-out.ts'
import { tableOf } from '../../../dashboards/src/past/table.ts'
import { windowWords } from '../../../dashboards/src/past/time-words.ts'
import { tracksOf } from '../../../dashboards/src/past/tracks.ts'
import {
  msAt,
  NARROWEST_MS,
  panned,
  pinched,
  presetWindow,
  xAt,
  zoomed,
  type PastWindow,
} from '../../../dashboards/src/past/window.ts'
import { routeOf, hashOf } from '../../../dashboards/src/models/route.ts'
import type { HistoryBand, HistoryView } from '../../../services/core/model/history-view.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR
const NOW = Date.UTC(2026, 10, 26, 21, 10)
const reach = { nowMs: NOW }
const plot = { left: 50, width: 1000 }
const ZONE = 'Europe/Brussels'

const windows = fc
  .record({
    spanS: fc.integer({ min: 300, max: 10 * 366 * 86_400 }),
    agoS: fc.integer({ min: 0, max: 86_400 * 3650 }),
  })
  .map(({ spanS, agoS }): PastWindow => ({ fromMs: NOW - (agoS + spanS) * 1000, toMs: NOW - agoS * 1000 }))

describe('the window', () => {
  it('ZOOM-1 what lies under the pointer stays there, from years to minutes', () => {
    let held = 0
    fc.assert(
      fc.property(
        windows,
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        fc.double({ min: 0.2, max: 8, noNaN: true }),
        (window, share, factor) => {
          const aroundMs = window.fromMs + share * (window.toMs - window.fromMs)
          const next = zoomed(window, { factor, aroundMs }, reach)
          expect(next.toMs).toBeLessThanOrEqual(NOW)
          expect(next.toMs - next.fromMs).toBeGreaterThanOrEqual(NARROWEST_MS)
          if (next.toMs === NOW || next.fromMs === 0) return
          held++
          const moved = xAt(aroundMs, next, plot) - xAt(aroundMs, window, plot)
          // A window is held to whole seconds.
          expect(Math.abs(moved)).toBeLessThanOrEqual((1500 / (next.toMs - next.fromMs)) * plot.width)
        },
      ),
    )
    expect(held).toBeGreaterThan(20)
  })
  it('ZOOM-2 panning keeps the width, also where now stops it', () => {
    const window = { fromMs: NOW - DAY, toMs: NOW - HOUR }
    expect(panned(window, -HOUR, reach)).toEqual({ fromMs: NOW - DAY - HOUR, toMs: NOW - 2 * HOUR })
    expect(panned(window, 5 * HOUR, reach)).toEqual({ fromMs: NOW - 23 * HOUR, toMs: NOW })
  })
  it('ZOOM-3 two fingers keep the two times that they took hold of', () => {
    const window = { fromMs: NOW - 10 * DAY, toMs: NOW - 5 * DAY }
    const [a, b] = [msAt(300, window, plot), msAt(500, window, plot)]
    const next = pinched(
      [
        { atMs: a, x: 200 },
        { atMs: b, x: 800 },
      ],
      plot,
      reach,
    )
    expect(xAt(a, next, plot)).toBeCloseTo(200, 0)
    expect(xAt(b, next, plot)).toBeCloseTo(800, 0)
  })
  it('ZOOM-4 presets end now; the night is the last one, all begins with the record', () => {
    const lastNight = { fromMs: NOW - 30 * HOUR, toMs: NOW - 14 * HOUR }
    const known = { ...reach, lastNight, beginsMs: NOW - 900 * DAY }
    expect(presetWindow('night', known)).toEqual(lastNight)
    expect(presetWindow('week', known)).toEqual({ fromMs: NOW - 7 * DAY, toMs: NOW })
    expect(presetWindow('all', known)).toEqual({ fromMs: NOW - 900 * DAY, toMs: NOW })
  })
})

describe('the link', () => {
  const ids = fc.array(fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,8}$/), { maxLength: 4 })
  const links: fc.Arbitrary<PastLink> = fc.record({
    window: fc.option(windows),
    chosen: fc.option(fc.record({ machines: ids, rooms: ids, bottles: ids })),
    isTable: fc.boolean(),
  })
  it('LINK-1 a link that is written and read again is the same, through the address too', () => {
    fc.assert(
      fc.property(links, (link) => {
        const query = toQuery(link)
        expect(fromQuery(query)).toEqual(link)
        const route = routeOf(hashOf({ page: 'history', query }))
        expect(route).toEqual({ page: 'history', query })
      }),
    )
  })
  it('LINK-2 a mangled link still opens the page', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const { window } = fromQuery(text)
        if (window) expect(window.fromMs).toBeLessThan(window.toMs)
      }),
    )
    expect(fromQuery('from=2026-03-03T00:00:00Z&to=2026-03-02T00:00:00Z').window).toBeNull()
    expect(fromQuery('from=yesterday&to=now').window).toBeNull()
    expect(toQuery(fromQuery('from=2026-03-03T02:10:00Z&to=2026-03-03T03:10:00Z&rooms=floor'))).toBe(
      'from=2026-03-03T02:10:00Z&to=2026-03-03T03:10:00Z&machines=&rooms=floor&bottles=',
    )
  })
})

describe('the line', () => {
  it('GAP-1 GAP-2 breaks at a silence, and passes over stretches in which nothing was due', () => {
    expect(joined([1, null, null, 2, null, null, null, 3], { widthMs: MIN }, 3 * MIN)).toEqual([
      1,
      undefined,
      undefined,
      2,
      null,
      null,
      null,
      3,
    ])
    expect(joined([null, 1, null], { widthMs: HOUR }, 3 * MIN)).toEqual([null, 1, null])
  })
  it('GAP-3 finds what would have no line to stand in', () => {
    expect(isolatedIn([1, null, 2, 3, null, 4])).toEqual([0, 5])
    expect(isolatedIn([1, undefined, 2, null, undefined, 3, null])).toEqual([5])
    expect(isolatedIn([])).toEqual([])
  })
})

const T0 = Date.UTC(2026, 2, 3, 1)
const band = (low: (number | null)[], mean = low, high = low): HistoryBand => ({
  low,
  mean,
  high,
  last: mean,
})
const none = band([null, null, null])

function viewOf(change: Partial<HistoryView> = {}): HistoryView {
  const startsMs = [T0, T0 + HOUR, T0 + 2 * HOUR]
  return {
    fromMs: T0,
    toMs: T0 + 3 * HOUR,
    readings: { widthMs: HOUR, startsMs },
    quarters: { widthMs: HOUR, startsMs },
    limits: {
      airVeryDryPct: 30,
      airDryPct: 40,
      airDampPct: 65,
      roomColdC: 15,
      roomWarmC: 30,
      bottleNearPct: 80,
      bottleFullPct: 95,
    },
    rooms: [
      {
        id: 'floor',
        title: 'Print floor',
        quietMs: 3 * MIN,
        humidityPct: band([34, null, 41], [36, null, 41], [37.4, null, 71]),
        temperatureC: band([20, null, 20]),
        vpdKpa: none,
        dewPointC: none,
      },
    ],
    bottles: [],
    machines: [
      {
        id: 'roll',
        title: 'Roll 60',
        inks: [
          {
            channelGroupId: 'roll-white',
            title: 'White',
            ink: 'white',
            limitKpaH: 60,
            doseKpaH: band([42, 0, 1]),
          },
        ],
        shares: { standby: [1, 0.75, 1], off: [0, 0.25, 0] },
        cleanings: [0, 2, 0],
        uncappedS: [0, 0, 0],
      },
    ],
    closed: [],
    troubles: [
      {
        machineIds: ['roll'],
        condition: 'airDry',
        title: 'The air is dry',
        fromMs: T0 + 90 * MIN,
        toMs: T0 + 2 * HOUR,
      },
    ],
    tasks: [{ machineIds: ['roll'], title: 'Wipe it', state: 'signedOff', endedMs: T0 + 2 * HOUR + 1 }],
    checks: [
      {
        machineId: 'roll',
        atMs: T0 + 1,
        missingNozzles: 8,
        missing: [{ title: 'White', missingNozzles: 8 }],
      },
    ],
    entries: [{ machineIds: ['roll'], kind: 'care', title: 'Heads cleaned, helped', atMs: T0 + 2 }],
    sourceNotes: [],
    beginsMs: T0,
    lastNight: null,
    choices: { machines: [], rooms: [], bottles: [] },
    ...change,
  }
}
const read = (atMs: number, view = viewOf()) =>
  readOut(atMs, { view, tracks: tracksOf(view, 'degC'), timeZone: ZONE }).replaceAll('\u00A0', ' ')

describe('the read-out', () => {
  it('READ-1 tells a moment in words with units, from the lowest to the highest of its stretch', () => {
    expect(read(T0 + 10 * MIN)).toBe(
      'Tue 3 Mar 2026, 02:00 to 03:00: Relative humidity: Print floor 34 to 37 %RH; Temperature: Print floor 20.0 °C; Drying dose, Roll 60: White 42 kPa h; Roll 60: waiting; nozzle check: 8 nozzles missing (White 8); logbook: Heads cleaned, helped.',
    )
  })
  it('READ-2 says where nothing was measured, and what the machine did in shares', () => {
    expect(read(T0 + HOUR)).toBe(
      'Tue 3 Mar 2026, 03:00 to 04:00: Relative humidity: Print floor not known; Temperature: Print floor not known; Drying dose, Roll 60: White 0 kPa h; Roll 60: waiting 75 %, off 25 %, cleaned 2 times; alarm: The air is dry.',
    )
    expect(read(T0 + 2 * HOUR)).toMatch(/task: Wipe it \(signed off\)\.$/)
  })
  it('tells the night in which clocks go back by both its hours', () => {
    const at = Date.UTC(2026, 9, 25, 0)
    const grid = { widthMs: HOUR, startsMs: [at, at + HOUR] }
    expect(stretchWords(at, grid, ZONE)).toBe('Sun 25 Oct 2026, 02:00 to 02:00')
    expect(stretchWords(at + HOUR, grid, ZONE)).toBe('Sun 25 Oct 2026, 02:00 to 03:00')
    expect(windowWords({ fromMs: at, toMs: at + 25 * HOUR }, ZONE)).toBe(
      'Sun 25 Oct 2026, 02:00 to Mon 26 Oct 2026, 02:00',
    )
  })
})

describe('tracks', () => {
  it('TRACK-1 leave out what was never measured; the scale holds a single peak and a limit that lies near', () => {
    const tracks = tracksOf(viewOf(), 'degC')
    expect(tracks.map((t) => t.key)).toEqual(['humidityPct', 'temperatureC', 'dose-roll'])
    const { min, max } = tracks[0]?.scale ?? { min: 0, max: 0 }
    expect(min).toBeLessThan(30)
    expect(max).toBeGreaterThan(71)
  })
  it('PEAK-1 tell the extremes of the stretches, never of their means', () => {
    const [humidity] = tracksOf(viewOf(), 'degC')
    const [line] = humidity?.lines ?? []
    if (!humidity || !line) throw new Error('the floor is measured')
    expect(extremesWords(line, humidity, ZONE).replaceAll('\u00A0', ' ')).toBe(
      'Print floor: lowest 34 %RH (Tue 3 Mar, 02:00), highest 71 %RH (Tue 3 Mar, 04:00)',
    )
  })
  it('show degrees as the owner likes them', () => {
    const track = tracksOf(viewOf(), 'degF').find((t) => t.key === 'temperatureC')
    expect(track?.unit).toBe('°F')
    expect(track?.lines[0]?.band.mean[0]).toBe(68)
  })
})

describe('lanes', () => {
  const frame = { window: { fromMs: T0, toMs: T0 + 3 * HOUR }, plot: { left: 0, width: 300 }, heightPx: 25 }
  const lanes = lanesOf(viewOf(), viewOf().machines[0] ?? null, frame)
  it('RIBBON-1 RIBBON-3 stack the states of a stretch, and join stretches of one', () => {
    expect(lanes.ribbon).toEqual([
      { doing: 'standby', x: 0, width: 100, top: 0, height: 1 },
      { doing: 'standby', x: 100, width: 100, top: 0.25, height: 0.75 },
      { doing: 'off', x: 100, width: 100, top: 0, height: 0.25 },
      { doing: 'standby', x: 200, width: 100, top: 0, height: 1 },
    ])
  })
  it('RIBBON-2 a short outage is high enough to be seen, whatever the width', () => {
    const shares = { standby: [0.999], off: [0.001] }
    expect(heightsOf({ shares }, 0, 0.1)).toEqual([
      { doing: 'standby', height: 0.9 },
      { doing: 'off', height: 0.1 },
    ])
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.001, max: 1, noNaN: true }), { minLength: 3, maxLength: 3 }),
        (raw) => {
          const sum = raw.reduce((a, b) => a + b, 0)
          const [a = 0, b = 0, c = 0] = raw.map((v) => v / sum)
          const heights = heightsOf({ shares: { printing: [a], off: [b], unknown: [c] } }, 0, 0.1).map(
            (h) => h.height,
          )
          expect(heights.reduce((x, y) => x + y, 0)).toBeCloseTo(1)
          expect(Math.min(...heights)).toBeGreaterThanOrEqual(0.0999)
        },
      ),
    )
  })
  it('hold alarms as spans, and checks, entries and tasks as marks', () => {
    expect(lanes.alarms).toEqual([{ x: 150, width: 50 }])
    expect(lanes.checks.map((m) => m.shape)).toEqual(['missing'])
    expect(lanes.cares.map((m) => m.shape)).toEqual(['cleaning', 'cleaning'])
    expect(lanes.tasks.map((m) => m.shape)).toEqual(['done'])
  })
  it('MARK-1 marks of one shape on each other are one; one of another shape stays', () => {
    const check = (atMs: number, missingNozzles: number) => ({
      machineId: 'roll',
      atMs,
      missingNozzles,
      missing: [],
    })
    const checks = [check(T0, 0), check(T0 + MIN, 0), check(T0 + 2 * MIN, 4), check(T0 + HOUR, 0)]
    const drawn = lanesOf(viewOf({ checks }), viewOf().machines[0] ?? null, frame).checks
    expect(drawn.map((m) => m.shape)).toEqual(['clear', 'missing', 'clear'])
  })
})

describe('the table', () => {
  it('TABLE-1 holds every number of the view, and nothing where nothing was measured', () => {
    const { columns, rows } = tableOf(viewOf())
    const column = (heading: string) => {
      const found = columns.find((c) => c.heading === heading)
      return rows.map((row) => found?.cell(row))
    }
    expect(column('Print floor, humidity, %RH, highest')).toEqual(['37.4', '', '71'])
    expect(column('Roll 60, off, share of the time')).toEqual(['0', '0.25', '0'])
    expect(column('Roll 60, missing nozzles')).toEqual(['8', '', ''])
    expect(column('Roll 60, alarms')).toEqual(['', 'The air is dry', ''])
    expect(column('Roll 60, tasks that ended')).toEqual(['', '', 'Wipe it'])
  })
})

describe('keys', () => {
  const press = (key: string, { cursorMs = null as number | null, shiftKey = false } = {}) => {
    const done: string[] = []
    const window = { fromMs: NOW - DAY, toMs: NOW - HOUR }
    const past = {
      window: { peek: () => window },
      cursorMs: { peek: () => cursorMs },
      move: (w: PastWindow) => done.push(`move ${(w.fromMs - NOW) / HOUR} ${(w.toMs - NOW) / HOUR}`),
      take: (preset: string) => done.push(`take ${preset}`),
      point: (atMs: number | null) => done.push(`point ${atMs === null ? null : (atMs - NOW) / HOUR}`),
      nowMs: () => NOW,
    }
    const taken = onKey(
      { key, shiftKey, ctrlKey: false, altKey: false, metaKey: false },
      { past, grid: { widthMs: HOUR } },
    )
    return taken ? done : null
  }
  it('KEYS-1 left and right read, and take the picture along over the edge', () => {
    expect(press('ArrowLeft')).toEqual(['point -13.5'])
    expect(press('ArrowRight', { cursorMs: NOW - 5 * HOUR, shiftKey: true })).toEqual([
      'point 0',
      'move -23 0',
    ])
  })
  it('KEYS-2 KEYS-3 zoom, move, go to now and to all; all else is the browser’s', () => {
    expect(press('PageUp')).toEqual(['move -35.5 -12.5'])
    expect(press('Home')).toEqual(['move -23 0'])
    expect(press('End')).toEqual(['take all'])
    expect(press('Escape')).toEqual(['point null'])
    expect(press('+')?.[0]).toMatch(/^move -20\.\d+ -4\./)
    expect(press('Tab')).toBeNull()
  })
})
