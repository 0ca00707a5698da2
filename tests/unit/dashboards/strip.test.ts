import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { gapsOf } from '../../../dashboards/src/strip/gaps.ts'
import { atTime, withLatest } from '../../../dashboards/src/strip/live-tail.ts'
import { joinedPower, powerLane } from '../../../dashboards/src/strip/power-lane.ts'
import {
  humidityScale,
  sheetGeometry,
  stripGeometry,
  type StripRoom,
} from '../../../dashboards/src/strip/strip-geometry.ts'
import { hourRows, stripSummary } from '../../../dashboards/src/strip/strip-summary.ts'
import { stretchOf, timeTicks, xOf } from '../../../dashboards/src/strip/time-axis.ts'
import { splitBelow, valueLane } from '../../../dashboards/src/strip/value-lane.ts'
import type { MachineView } from '../../../services/core/model/views.ts'
import { inventedBoard, SHOP_NOW_MS } from '../../parts/invented-shop.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const WINDOW = { fromMs: 0, toMs: 12 * HOUR }
const PLOT = { left: 100, right: 1300 }
const ROOM: StripRoom = { widthPx: 700, remPx: 16, names: 'beside' }
const board = inventedBoard(SHOP_NOW_MS)

function machineOf(id: string): MachineView {
  const found = board.machines.find((m) => m.id === id)
  if (!found) throw new Error(`no machine ${id}`)
  return found
}

describe('time axis', () => {
  it('AXIS-1 a time lies in proportion, and one outside the window at its edge', () => {
    expect(xOf(6 * HOUR, WINDOW, PLOT)).toBe(700)
    expect(xOf(-HOUR, WINDOW, PLOT)).toBe(100)
    expect(xOf(13 * HOUR, WINDOW, PLOT)).toBe(1300)
  })

  it('AXIS-2 a span is cut to the window, and none outside it is drawn', () => {
    expect(stretchOf({ fromMs: -HOUR, toMs: HOUR }, WINDOW, PLOT)).toEqual({ x: 100, width: 100 })
    expect(stretchOf({ fromMs: 12 * HOUR, toMs: 14 * HOUR }, WINDOW, PLOT)).toBeNull()
  })

  it("AXIS-3 marks stand at full hours of the shop's clock, in zones off by a half hour or three quarters too", () => {
    const marks = (timeZone: string) => {
      const fromMs = Date.UTC(2026, 5, 1, 3)
      return timeTicks({ fromMs, toMs: fromMs + 12 * HOUR }, PLOT, { timeZone, clearPx: 0 }).map(
        (t) => t.label,
      )
    }
    expect(marks('Asia/Kathmandu')).toEqual(['09:00', '12:00', '15:00', '18:00'])
    expect(marks('Australia/Adelaide')).toEqual(['15:00', '18:00', '21:00', '00:00'])
  })

  it('AXIS-4 when clocks go back, the hour marks stay right', () => {
    // Brussels, 25 October 2026: 03:00 becomes 02:00 (IANA time zone database).
    const fromMs = Date.UTC(2026, 9, 24, 20)
    const marks = timeTicks({ fromMs, toMs: fromMs + 12 * HOUR }, PLOT, {
      timeZone: 'Europe/Brussels',
      clearPx: 0,
    })
    expect(marks.map((t) => t.label)).toEqual(['00:00', '03:00', '06:00'])
    expect(marks.map((t) => (t.x - 100) / 100)).toEqual([2, 6, 9])
  })
})

describe('gaps', () => {
  it('GAP-1 nothing read at all is one gap over the whole strip', () => {
    expect(gapsOf([], WINDOW, false)).toEqual([WINDOW])
  })

  it('GAP-2 between two runs lies a gap, and after the last when the value is not known now', () => {
    const spans = [
      { fromMs: 0, toMs: HOUR },
      { fromMs: 2 * HOUR, toMs: 3 * HOUR },
    ]
    expect(gapsOf(spans, WINDOW, false)).toEqual([
      { fromMs: HOUR, toMs: 2 * HOUR },
      { fromMs: 3 * HOUR, toMs: 12 * HOUR },
    ])
    expect(gapsOf(spans, WINDOW, true)).toHaveLength(1)
  })

  it('GAP-3 a line is never drawn across a gap: one path a run', () => {
    let withGaps = 0
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 20, maxLength: 140 }), (heard) => {
        const runs: [number, number][][] = []
        heard.forEach((isHeard, at) => {
          if (!isHeard) return
          if (at === 0 || !heard[at - 1]) runs.push([])
          runs.at(-1)?.push([at * 5 * MIN, 50])
        })
        const lane = valueLane(
          { runs, now: null, limit: 40 },
          { window: WINDOW, plot: PLOT, top: 0, height: 60, scale: [30, 60] },
        )
        if (runs.length > 1) withGaps++
        expect(lane.lines).toHaveLength(runs.length)
        expect(lane.lines.every((d) => d.lastIndexOf('M') === 0)).toBe(true)
      }),
    )
    expect(withGaps).toBeGreaterThan(0)
  })
})

describe('lanes', () => {
  it('LANE-1 what lies below the limit begins and ends where the line crosses it', () => {
    const pieces = splitBelow([[0, 42], [10, 38], [20, 38], [30, 42]], 40) // prettier-ignore
    expect(pieces).toEqual([[[5, 40], [10, 38], [20, 38], [25, 40]]]) // prettier-ignore
  })

  it('LANE-2 the line reaches now when the value is known now, and stops where it was last read when not', () => {
    const frame = { window: WINDOW, plot: PLOT, top: 0, height: 60, scale: [0, 100] as const }
    const runs = [[[0, 50], [11 * HOUR, 50]]] as [number, number][][] // prettier-ignore
    expect(valueLane({ runs, now: 50, limit: 40 }, frame).lines[0]).toContain('L1300 30')
    expect(valueLane({ runs, now: null, limit: 40 }, frame).lines[0]).not.toContain('L1300')
  })

  it('LANE-3 power spans of one state are one bar, and an outage says from when to when', () => {
    const lane = powerLane(machineOf('window').power, {
      window: { fromMs: board.fromMs, toMs: board.nowMs },
      plot: PLOT,
      timeZone: 'Europe/Brussels',
      letterPx: 7,
    })
    expect(lane.bars.map((b) => b.state)).toEqual(['on', 'off', 'on'])
    expect(lane.notes.map((n) => n.text)).toEqual(['off 13:10 to 13:40'])
    expect(joinedPower({ now: 'on', spans: [{ fromMs: 0, toMs: 5, state: 'on' }, { fromMs: 5, toMs: 9, state: 'on' }] }, 20)).toEqual([{ fromMs: 0, toMs: 20, state: 'on' }]) // prettier-ignore
  })

  it('LANE-4 an outage that lasts is told with its beginning, inside the plot', () => {
    const { power, plot } = stripGeometry(machineOf('roll'), board, ROOM)
    expect(power.notes.map((n) => n.text)).toEqual(['off since 21:48'])
    expect(power.notes[0]?.x).toBeLessThan(plot.right)
  })

  it('LANE-5 all machines share one humidity scale that holds every value and limit', () => {
    const [low, high] = humidityScale(board.machines)
    expect(low).toBeLessThan(36)
    expect(high).toBeGreaterThan(55)
    expect(humidityScale([])[1] - humidityScale([])[0]).toBeGreaterThanOrEqual(20)
  })

  it('LANE-6 everything of a strip lies within its drawing', () => {
    for (const names of ['beside', 'above'] as const) {
      for (const machine of board.machines) {
        const g = stripGeometry(machine, board, { ...ROOM, names })
        const lanes = [g.humidity, g.power, ...(g.bottle ? [g.bottle] : [])]
        expect(lanes.every((l) => l.top >= 0 && l.top + l.height <= g.heightPx)).toBe(true)
        expect(
          lanes
            .flatMap((l) => l.gaps)
            .every((s) => s.x >= g.plot.left && s.x + s.width <= g.plot.right + 0.1),
        ).toBe(true)
      }
    }
  })

  it('LANE-7 closed hours and the line of now stand where the strips have them', () => {
    const sheet = sheetGeometry(board, ROOM)
    expect(sheet.nowX).toBe(sheet.plot.right)
    expect(sheet.closed[0]?.x).toBeCloseTo(
      xOf(SHOP_NOW_MS - 250 * MIN, { fromMs: board.fromMs, toMs: board.nowMs }, sheet.plot),
      1,
    )
  })
})

describe('the strip in words', () => {
  it('WORDS-1 tells from where to where, the limit, and when the power was off', () => {
    expect(stripSummary(machineOf('window'), board)).toBe(
      'The past 12 hours. Humidity from 52 to 45 %RH, limit 40 %RH; power on but off from 13:10 to 13:40; bottle from 26 to 31 %, mark at 80 %.',
    )
  })

  it('WORDS-2 tells gaps, and that a value is not known now', () => {
    expect(stripSummary(machineOf('corner'), board)).toContain('with a gap in the readings, not known now')
  })

  it('WORDS-3 gives the numbers hour by hour, and says where none were read', () => {
    const rows = hourRows(machineOf('corner'), board)
    expect(rows).toHaveLength(12)
    expect(rows[0]).toEqual({ time: '22:10', humidityPct: null, power: 'unknown', fillPct: null })
    expect(rows[5]?.humidityPct).toBeGreaterThan(40)
  })
})

describe('live tail', () => {
  const bindings = {
    sensors: [
      { id: 'n/h', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
      { id: 'n/p', quantity: 'powered', subject: { kind: 'machine', id: 'roll' } },
    ] as const,
    roomOfMachine: new Map([['roll', 'floor'], ['back', 'back-room']]), // prettier-ignore
  }
  const humidity = (atMs: number, value: number) => ({
    sensorId: 'n/h',
    quantity: 'humidity' as const,
    atMs,
    value,
  })

  it('TAIL-1 a reading goes to its room and to the strips of the machines in it, and to no other', () => {
    const next = withLatest(board, [humidity(SHOP_NOW_MS + 1000, 41)], bindings)
    expect(next.rooms.map((r) => r.humidityPct)).toEqual([41, 36])
    expect(next.machines[0]?.humidity.nowPct).toBe(41)
    expect(next.machines[0]?.humidity.runs.at(-1)?.at(-1)).toEqual([SHOP_NOW_MS + 1000, 41])
    expect(next.machines[2]?.humidity.nowPct).toBe(36)
    expect(next.lastReadingMs).toBe(SHOP_NOW_MS + 1000)
  })

  it('TAIL-2 after a silence the first reading begins a run of its own, so the gap stays a gap', () => {
    const silent = {
      ...board,
      machines: board.machines.map((m) => ({ ...m, humidity: { ...m.humidity, nowPct: null } })),
    }
    const next = withLatest(silent, [humidity(SHOP_NOW_MS, 41)], bindings)
    expect(next.machines[0]?.humidity.runs).toHaveLength(2)
  })

  it('TAIL-3 a reading older than the tail does not bend the line back, and an unknown sensor changes nothing', () => {
    const old = withLatest(board, [humidity(SHOP_NOW_MS - 3 * HOUR, 41)], bindings)
    expect(old.machines[0]?.humidity.runs).toEqual(board.machines[0]?.humidity.runs)
    const other = withLatest(board, [{ ...humidity(SHOP_NOW_MS, 41), sensorId: 'x/y' }], bindings)
    expect(other.machines).toEqual(board.machines)
  })

  it('TAIL-4 power that comes back begins a new span', () => {
    const back = [{ sensorId: 'n/p', quantity: 'powered' as const, atMs: SHOP_NOW_MS + 1000, value: 1 }]
    const { power } = withLatest(board, back, bindings).machines[0] ?? machineOf('roll')
    expect(power.now).toBe('on')
    expect(power.spans.map((s) => s.state)).toEqual(['on', 'off', 'on'])
  })

  it('TAIL-5 as time goes on the window moves with it, and closed hours reach now until the shop opens', () => {
    const later = atTime(board, SHOP_NOW_MS + 5 * MIN)
    expect(later.nowMs - later.fromMs).toBe(12 * HOUR)
    expect(later.closedSpans.at(-1)?.toMs).toBe(SHOP_NOW_MS + 5 * MIN)
    const opened = atTime(board, SHOP_NOW_MS + 700 * MIN)
    expect(opened.closedSpans.at(-1)?.toMs).toBe(board.site.nextChangeMs)
  })
})
