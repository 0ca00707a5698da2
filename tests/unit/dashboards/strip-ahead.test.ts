import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  bandAhead,
  bandAt,
  crossingAhead,
  ribbonOf,
  type BandPoint,
} from '../../../dashboards/src/strip/ahead.ts'
import { driestInks, inkLane } from '../../../dashboards/src/strip/ink-lane.ts'
import {
  closedAhead,
  plotOf,
  sheetGeometry,
  timeWindowOf,
} from '../../../dashboards/src/strip/sheet-geometry.ts'
import { stripGeometry } from '../../../dashboards/src/strip/strip-geometry.ts'
import { nowXOf, timeTicks, xOf } from '../../../dashboards/src/strip/time-axis.ts'
import type { BoardView, InkView, MachineView } from '../../../services/core/model/views.ts'
import { ink } from '../../parts/invented-courses.ts'
import {
  inventedBoard,
  openBoard,
  SHOP_NOW_MS,
  SHOP_OPENING_MS,
  weekendBoard,
} from '../../parts/invented-shop.ts'

const HOUR = 3_600_000
const WINDOW = { fromMs: 0, nowMs: 12 * HOUR, toMs: 24 * HOUR }
const PLOT = { left: 0, nowX: 600, right: 1200 }
const FRAME = { window: WINDOW, plot: PLOT, top: 0, height: 100, scale: [0, 100] as const }
const BESIDE = { widthPx: 700, remPx: 16, names: 'beside' } as const
const PHONE = { widthPx: 288, remPx: 16, names: 'above' } as const
const board = inventedBoard(SHOP_NOW_MS)

function machineOf(id: string, of: BoardView = board): MachineView {
  const found = of.machines.find((m) => m.id === id)
  if (!found) throw new Error(`no machine ${id}`)
  return found
}

/** The numbers of a path, in pairs. */
function pointsOf(path: string): readonly (readonly [number, number])[] {
  return [...path.matchAll(/[ML]([\d.]+) ([\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)] as const)
}

describe('the night on the axis', () => {
  it('NIGHT-AXIS-1 the strip ends at the next opening, with hours ahead on the scale of hours past', () => {
    const window = timeWindowOf(board)
    expect(window.toMs).toBe(SHOP_OPENING_MS)
    const plot = plotOf(BESIDE, window)
    const pastPxPerMs = (plot.nowX - plot.left) / (window.nowMs - window.fromMs)
    expect((plot.right - plot.nowX) / (window.toMs - window.nowMs)).toBeCloseTo(pastPxPerMs, 6)
  })

  it('NIGHT-AXIS-2 a weekend takes at most three fifths of the width, its hours drawn closer', () => {
    const weekend = timeWindowOf(weekendBoard())
    expect(weekend.toMs - weekend.nowMs).toBeGreaterThan(58 * HOUR)
    expect(nowXOf(weekend, { left: 0, right: 1000 })).toBe(400)
  })

  it('NIGHT-AXIS-3 with more than a day ahead its midnights carry the name of the day they begin', () => {
    const { ticks, end } = sheetGeometry(weekendBoard(), { ...BESIDE, widthPx: 1100 })
    expect(ticks.map((t) => t.label)).toEqual(expect.arrayContaining(['Sun', '12:00']))
    expect(end?.label).toBe('opens Mon 08:30')
  })

  it('NIGHT-AXIS-4 no label runs into another, however wide the strip and whenever now is', () => {
    const half = 1.35 * 16
    let shown = 0
    fc.assert(
      fc.property(
        fc.integer({ min: 240, max: 1800 }),
        fc.integer({ min: 0, max: 100 * 60 }),
        fc.constantFrom('beside' as const, 'above' as const),
        (widthPx, aheadMin, names) => {
          const nightMs = SHOP_NOW_MS + aheadMin * 60_000
          const machines = board.machines.map((m) => ({
            ...m,
            night: m.night && { ...m.night, toMs: nightMs },
          }))
          const { ticks, now, end } = sheetGeometry({ ...board, machines }, { widthPx, remPx: 16, names })
          const spans = [
            ...ticks.map((t) => [t.x - half, t.x + half] as const),
            [now.x - 2.3 * 16, now.x + 2.3 * 16] as const,
            ...(end ? [[end.x - end.label.length * 0.5 * 16, end.x] as const] : []),
          ].sort((a, b) => a[0] - b[0])
          if (end) shown++
          spans.forEach(([from], at) => {
            const before = spans[at - 1]
            if (before) expect(from).toBeGreaterThanOrEqual(before[1] - 1)
          })
        },
      ),
      { numRuns: 1000 },
    )
    expect(shown).toBeGreaterThan(0)
  })

  it('NIGHT-AXIS-5 hours ahead are shaded from closing time on, or from now on when the shop is closed', () => {
    const open = openBoard()
    expect(closedAhead(open, timeWindowOf(open))).toEqual([
      { fromMs: open.site.nextChangeMs, toMs: timeWindowOf(open).toMs },
    ])
    expect(closedAhead(board, timeWindowOf(board))).toEqual([{ fromMs: SHOP_NOW_MS, toMs: SHOP_OPENING_MS }])
  })

  it('NIGHT-AXIS-6 with nothing known of any night the strip reaches to the opening while closed, else ends at now', () => {
    const blind = { ...board, machines: [machineOf('corner')] }
    expect(timeWindowOf(blind).toMs).toBe(SHOP_OPENING_MS)
    const open = { ...blind, site: { ...blind.site, open: true } }
    expect(timeWindowOf(open).toMs).toBe(SHOP_NOW_MS)
    expect(sheetGeometry(open, BESIDE).end).toBeNull()
  })

  it('NIGHT-AXIS-7 past and future each have marks as close as they have room for', () => {
    const clear = { between: 50, now: 0, end: 0 }
    const marks = timeTicks({ fromMs: 0, nowMs: 12 * HOUR, toMs: 60 * HOUR }, PLOT, {
      timeZone: 'UTC',
      clear,
    })
    expect(marks.map((t) => t.label)).toEqual(['03:00', '06:00', '09:00', '12:00', '18:00', 'Fri', '06:00', '12:00', '18:00', 'Sat', '06:00']) // prettier-ignore
  })
})

describe('forecast', () => {
  const band: BandPoint[] = [
    [10 * HOUR, 20, 20, 20],
    [14 * HOUR, 20, 40, 60],
    [26 * HOUR, 20, 52, 84],
  ]

  it('AHEAD-DRAWN-1 it begins at now and stops at the end of the strip, its ends taken from the points around', () => {
    expect(bandAhead(band, WINDOW, 30)).toEqual([
      [12 * HOUR, 20, 30, 40],
      [14 * HOUR, 20, 40, 60],
      [24 * HOUR, 20, 50, 80],
    ])
    expect(bandAt(band, 9 * HOUR)).toBeNull()
    expect(bandAt(band, 27 * HOUR)).toBeNull()
  })

  it('AHEAD-DRAWN-2 where its grid begins after now it is drawn from the value of now, and from its own start if that is not known', () => {
    expect(bandAhead(band.slice(1), WINDOW, 30)[0]).toEqual([12 * HOUR, 30, 30, 30])
    expect(bandAhead(band.slice(1), WINDOW, null)[0]?.[0]).toBe(14 * HOUR)
    expect(ribbonOf([], FRAME, 30)).toBeNull()
    const [early, late] = [band[1], band[2]]
    // Along the upper edge to the end of the strip, and back along the lower.
    expect(early && late && ribbonOf([early, late], FRAME, null)).toEqual({
      line: 'M700 60L1200 50',
      band: 'M700 40L1200 20L1200 80L700 80Z',
    })
  })

  it('AHEAD-DRAWN-3 the middle lies within the band, and nothing of it left of now', () => {
    let wide = 0
    const point = fc.tuple(
      fc.integer({ min: 0, max: 100 }),
      fc.integer({ min: 0, max: 100 }),
      fc.integer({ min: 0, max: 100 }),
    )
    fc.assert(
      fc.property(fc.array(point, { minLength: 2, maxLength: 30 }), (values) => {
        const made = values.map((v, at): BandPoint => {
          const [a = 0, b = 0, c = 0] = [...v].sort((x, y) => x - y)
          return [11 * HOUR + at * HOUR, a, b, c]
        })
        const ribbon = ribbonOf(made, FRAME, null)
        if (!ribbon) return
        const line = pointsOf(ribbon.line)
        const edge = pointsOf(ribbon.band)
        const upper = edge.slice(0, line.length)
        const lower = edge.slice(line.length).reverse()
        expect(lower).toHaveLength(line.length)
        line.forEach(([x, y], at) => {
          expect(x).toBeGreaterThanOrEqual(PLOT.nowX)
          expect(y).toBeGreaterThanOrEqual(upper[at]?.[1] ?? Infinity)
          expect(y).toBeLessThanOrEqual(lower[at]?.[1] ?? -Infinity)
          if ((lower[at]?.[1] ?? 0) > (upper[at]?.[1] ?? 0)) wide++
        })
      }),
    )
    expect(wide).toBeGreaterThan(0)
  })

  it('AHEAD-DRAWN-4 a limit reached is a span on it with its likely time; ends beyond the strip stand at its edge', () => {
    const time = { earliestMs: 13 * HOUR, likelyMs: 15 * HOUR, latestMs: 30 * HOUR }
    expect(crossingAhead(time, WINDOW, PLOT)).toEqual({ fromX: 650, likelyX: 750, toX: 1200 })
    expect(crossingAhead({ ...time, likelyMs: 26 * HOUR }, WINDOW, PLOT)?.likelyX).toBeNull()
    expect(crossingAhead({ ...time, likelyMs: null, latestMs: null }, WINDOW, PLOT)?.toX).toBe(1200)
    // What was expected a moment ago and has not come is expected now.
    expect(crossingAhead({ ...time, earliestMs: 11 * HOUR }, WINDOW, PLOT)?.fromX).toBe(600)
    for (const none of [
      null,
      { earliestMs: null, likelyMs: null, latestMs: null },
      { ...time, earliestMs: 25 * HOUR, likelyMs: 26 * HOUR },
    ])
      expect(crossingAhead(none, WINDOW, PLOT)).toBeNull()
  })

  it('AHEAD-DRAWN-5 the humidity scale holds the forecast of every machine', () => {
    for (const machine of board.machines) {
      const { humidity } = stripGeometry(machine, board, BESIDE)
      const ys = pointsOf(humidity.ribbon?.band ?? '').map(([, y]) => y)
      expect(ys.every((y) => y > humidity.top && y < humidity.top + humidity.height)).toBe(true)
    }
    expect(stripGeometry(machineOf('corner'), board, BESIDE).humidity.ribbon).toBeNull()
  })
})

describe('drying', () => {
  const past = (values: readonly number[]) => ({ past: { fromMs: 0, toMs: 12 * HOUR, values } })
  const frame = { ...FRAME, scale: [0, 130] as const }

  it('INK-LANE-1 colour and white have a line each, of several groups the one that dries furthest', () => {
    const inks = [
      ink('white', past([10])),
      ink('colour', past([5])),
      ink('white', past([40]), { channelGroupId: 'w2' }),
    ]
    expect(driestInks(inks).map((i) => [i.ink, i.usedPct])).toEqual([
      ['colour', 5],
      ['white', 40],
    ])
    const later: InkView = ink('white', {
      ...past([10]),
      ahead: { fromMs: 12 * HOUR, toMs: 24 * HOUR, values: [10, 90] },
    })
    expect(driestInks([later, ink('white', past([40]))])[0]).toBe(later)
  })

  it('INK-LANE-2 its limit stands at 100 percent, and what is beyond it is shaded from where the line crosses', () => {
    const lane = inkLane([ink('colour', past([50, 100, 150]))], frame)
    expect(lane.limitY).toBeCloseTo(100 - (100 / 130) * 100, 1)
    expect(pointsOf(lane.traces[0]?.past[0] ?? '')[0]).toEqual([300, lane.limitY])
  })

  it('INK-LANE-3 far beyond its limit the line is held at the top, inside the lane', () => {
    const lane = inkLane(machineOf('roll').inks, { ...frame, window: timeWindowOf(board) })
    const ys = lane.traces.flatMap(({ ribbon }) => pointsOf(ribbon?.band ?? '').map(([, y]) => y))
    expect(Math.min(...ys)).toBe(0)
  })

  it('INK-LANE-4 a machine of which no ink is told has no lane for it', () => {
    expect(stripGeometry(machineOf('stored'), board, PHONE).inks).toBeNull()
    expect(stripGeometry(machineOf('back'), board, PHONE).inks?.traces).toHaveLength(2)
  })

  it('INK-LANE-5 a bottle has its fill ahead and both marks, full above near', () => {
    const { bottle } = stripGeometry(machineOf('back'), board, BESIDE)
    expect(bottle?.ribbon?.line.length).toBeGreaterThan(0)
    expect(bottle?.fullY).toBeLessThan(bottle?.limitY ?? 0)
    const weekend = weekendBoard()
    const reached = stripGeometry(machineOf('back', weekend), weekend, BESIDE).bottle?.reachesFull
    expect(reached?.likelyX).toBe(
      xOf(weekend.nowMs + 38 * HOUR, timeWindowOf(weekend), plotOf(BESIDE, timeWindowOf(weekend))),
    )
  })
})
