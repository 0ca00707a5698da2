import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { gapsOf } from '../../../dashboards/src/strip/gaps.ts'
import { atTime, withLatest } from '../../../dashboards/src/strip/live-tail.ts'
import { joinedPower } from '../../../dashboards/src/strip/power-lane.ts'
import { laneStanding } from '../../../dashboards/src/strip/lane-of-condition.ts'
import { hourRows, hoursAhead } from '../../../dashboards/src/strip/hour-rows.ts'
import { sheetGeometry, timeWindowOf, type StripRoom } from '../../../dashboards/src/strip/sheet-geometry.ts'
import { humidityScale, stripGeometry } from '../../../dashboards/src/strip/strip-geometry.ts'
import { stripSummary } from '../../../dashboards/src/strip/strip-summary.ts'
import { stretchOf, timeTicks, xOf } from '../../../dashboards/src/strip/time-axis.ts'
import { splitAt, valueLane } from '../../../dashboards/src/strip/value-lane.ts'
import type { MachineView } from '../../../services/core/model/views.ts'
import { inventedBoard, SHOP_NOW_MS, weekendBoard } from '../../parts/invented-shop.ts'

const MIN = 60_000
const HOUR = 60 * MIN
/** Twelve hours past on 600 px, and twelve ahead on as many. */
const WINDOW = { fromMs: 0, nowMs: 12 * HOUR, toMs: 24 * HOUR }
const PLOT = { left: 100, nowX: 700, right: 1300 }
const PAST = { fromMs: 0, toMs: 12 * HOUR }
const CLEAR = { between: 0, now: 0, end: 0 }
const ROOM: StripRoom = { widthPx: 700, remPx: 16, names: 'beside' }
const board = inventedBoard(SHOP_NOW_MS)

function machineOf(id: string): MachineView {
  const found = board.machines.find((m) => m.id === id)
  if (!found) throw new Error(`no machine ${id}`)
  return found
}

describe('time axis', () => {
  it('AXIS-1 a time lies in proportion, and one outside the window at its edge', () => {
    expect(xOf(6 * HOUR, WINDOW, PLOT)).toBe(400)
    expect(xOf(18 * HOUR, WINDOW, PLOT)).toBe(1000)
    expect(xOf(-HOUR, WINDOW, PLOT)).toBe(100)
    expect(xOf(25 * HOUR, WINDOW, PLOT)).toBe(1300)
  })

  it('AXIS-2 a span is cut to the window, and none outside it is drawn', () => {
    expect(stretchOf({ fromMs: -HOUR, toMs: HOUR }, WINDOW, PLOT)).toEqual({ x: 100, width: 50 })
    expect(stretchOf({ fromMs: 24 * HOUR, toMs: 26 * HOUR }, WINDOW, PLOT)).toBeNull()
  })

  it("AXIS-3 marks stand at full hours of the shop's clock, in zones off by a half hour or three quarters too", () => {
    const marks = (timeZone: string) => {
      const fromMs = Date.UTC(2026, 5, 1, 3)
      const window = { fromMs, nowMs: fromMs + 12 * HOUR, toMs: fromMs + 12 * HOUR }
      return timeTicks(window, { ...PLOT, nowX: 1300 }, { timeZone, clear: CLEAR }).map((t) => t.label)
    }
    expect(marks('Asia/Kathmandu')).toEqual(['09:00', '12:00', '15:00', '18:00'])
    expect(marks('Australia/Adelaide')).toEqual(['15:00', '18:00', '21:00', '00:00'])
  })

  it('AXIS-4 when clocks go back, the hour marks stay right', () => {
    // Brussels, 25 October 2026: 03:00 becomes 02:00 (IANA time zone database).
    const fromMs = Date.UTC(2026, 9, 24, 20)
    const window = { fromMs, nowMs: fromMs + 12 * HOUR, toMs: fromMs + 12 * HOUR }
    const plot = { ...PLOT, nowX: 1300 }
    const marks = timeTicks(window, plot, { timeZone: 'Europe/Brussels', clear: CLEAR })
    expect(marks.map((t) => t.label)).toEqual(['00:00', '03:00', '06:00'])
    expect(marks.map((t) => (t.x - 100) / 100)).toEqual([2, 6, 9])
  })
})

describe('gaps', () => {
  it('GAP-1 nothing read at all is one gap over the whole strip', () => {
    expect(gapsOf([], PAST, false)).toEqual([PAST])
  })

  it('GAP-2 between two runs lies a gap, and after the last when the value is not known now', () => {
    const spans = [
      { fromMs: 0, toMs: HOUR },
      { fromMs: 2 * HOUR, toMs: 3 * HOUR },
    ]
    expect(gapsOf(spans, PAST, false)).toEqual([
      { fromMs: HOUR, toMs: 2 * HOUR },
      { fromMs: 3 * HOUR, toMs: 12 * HOUR },
    ])
    expect(gapsOf(spans, PAST, true)).toHaveLength(1)
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
          { runs, now: null, limit: 40, badSide: 'below' },
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
  it('LANE-1 what lies beyond the limit begins and ends where the line crosses it', () => {
    const run = [[0, 42], [10, 38], [20, 38], [30, 42]] as const // prettier-ignore
    expect(splitAt(run, 40, 'below')).toEqual([[[5, 40], [10, 38], [20, 38], [25, 40]]]) // prettier-ignore
    expect(splitAt(run, 40, 'above')).toEqual([[[0, 42], [5, 40]], [[25, 40], [30, 42]]]) // prettier-ignore
  })

  it('LANE-2 the line reaches now when the value is known now, and stops where it was last read when not', () => {
    const frame = { window: WINDOW, plot: PLOT, top: 0, height: 60, scale: [0, 100] as const }
    const runs = [[[0, 50], [11 * HOUR, 50]]] as [number, number][][] // prettier-ignore
    const values = { runs, limit: 40, badSide: 'below' } as const
    expect(valueLane({ ...values, now: 50 }, frame).lines[0]).toContain('L700 30')
    expect(valueLane({ ...values, now: null }, frame).lines[0]).not.toContain('L700')
  })

  it('LANE-3 power spans of one state are one bar, each state keeps its own, and an outage says from when to when', () => {
    const { power } = stripGeometry(machineOf('window'), board, ROOM)
    expect(power.bars.map((b) => b.state)).toEqual([
      'standby', 'cleaning', 'off', 'standby', 'printing', 'cleaning', 'printing', 'standby', 'cleaning', 'standby',
    ]) // prettier-ignore
    expect(power.notes.map((n) => n.text)).toEqual(['off 12:52 to 13:10'])
    const twice = { now: 'on' as const, spans: [{ fromMs: 0, toMs: 5, state: 'on' as const }, { fromMs: 5, toMs: 9, state: 'on' as const }] } // prettier-ignore
    expect(joinedPower(twice, 20)).toEqual([{ fromMs: 0, toMs: 20, state: 'on' }])
  })

  it('LANE-4 an outage that lasts is told with its beginning, right of now and inside the plot', () => {
    const { power, plot } = stripGeometry(machineOf('roll'), board, ROOM)
    expect(power.notes.map((n) => n.text)).toEqual(['off since 21:48'])
    expect(power.notes[0]?.x).toBeGreaterThan(plot.nowX)
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
        const lanes = [g.humidity, ...(g.inks ? [g.inks] : []), g.power, ...(g.bottle ? [g.bottle] : [])]
        expect(lanes.every((l) => l.top >= 0 && l.top + l.height <= g.heightPx)).toBe(true)
        expect(
          lanes.flatMap((l) => l.gaps).every((s) => s.x >= g.plot.left && s.x + s.width <= g.plot.nowX + 0.1),
        ).toBe(true)
      }
    }
  })

  it('LANE-7 closed hours and the line of now stand where the strips have them', () => {
    const sheet = sheetGeometry(board, ROOM)
    expect(sheet.now.x).toBe(sheet.plot.nowX)
    const fromX = xOf(SHOP_NOW_MS - 250 * MIN, timeWindowOf(board), sheet.plot)
    expect(sheet.closed[0]?.x).toBeCloseTo(fromX, 1)
  })

  it('LANE-8 cleanings stand in the strip with how they are known', () => {
    const marks = (id: string) =>
      stripGeometry(machineOf(id), board, ROOM).power.cleanings.map((c) => c.basis)
    expect(marks('window')).toEqual(['seen', 'seen', 'seen'])
    expect(marks('back')).toEqual(['assumed', 'assumed'])
    expect(marks('right')).toEqual(['seen', 'logged'])
  })

  it('LANE-9 a lane takes the signal colour only when the alarm is about it, and none for what is about the watching', () => {
    const standings = (id: string) =>
      (['air', 'ink', 'power', 'bottle'] as const).map((lane) => laneStanding(machineOf(id), lane))
    expect(standings('roll')).toEqual(['calm', 'actNow', 'calm', 'calm'])
    expect(standings('back')).toEqual(['beforeOpening', 'calm', 'calm', 'calm'])
    expect(standings('corner')).toEqual(['calm', 'calm', 'calm', 'calm'])
  })
})

describe('the strip in words', () => {
  it('WORDS-1 tells from where to where, the limits, when the power was off, and what is expected at the next opening', () => {
    expect(stripSummary(machineOf('window'), board)).toBe(
      'The past 12 hours. Humidity from 52 to 45 %RH, limit 40 %RH; colour ink at 9 % of its drying limit; white ink at 22 % of its drying limit; power waiting but off from 12:52 to 13:10; 3 cleanings, the last seen at 19:40; bottle from 26 to 31 %, mark at 80 %. Expected at the next opening, 08:30: humidity 45 %RH (42 to 48); colour ink 9 % of its limit (6 to 12); white ink 41 % of its limit (32 to 50); bottle 33 % (32 to 35).',
    )
  })

  it('WORDS-2 tells gaps, that a value is not known now, and that the night is not known', () => {
    const text = stripSummary(machineOf('corner'), board)
    expect(text).toContain('with a gap in the readings, not known now')
    expect(text).toMatch(/ The night is not known\.$/)
  })

  it('WORDS-3 gives the numbers hour by hour, and says where none were read', () => {
    const rows = hourRows(machineOf('corner'), board)
    expect(rows).toHaveLength(12)
    expect(rows[0]).toEqual({
      time: '22:10',
      humidityPct: null,
      inksPct: [16, 27],
      power: 'unknown',
      fillPct: null,
    })
    expect(rows[5]?.humidityPct).toBeGreaterThan(40)
  })

  it('WORDS-4 gives the hours ahead as ranges up to the opening, a weekend in twelve steps, and none when not known', () => {
    const rows = hoursAhead(machineOf('window'), board)
    expect(rows.at(-1)).toEqual({
      time: '08:30',
      humidityPct: [42, 45, 48],
      inksPct: [[6, 9, 12], [32, 41, 50]], // prettier-ignore
      fillPct: [31.5, 33, 34.5],
    })
    expect(hoursAhead(machineOf('corner'), board)).toEqual([])
    const weekend = weekendBoard()
    const [first] = weekend.machines
    expect(first && hoursAhead(first, weekend)).toHaveLength(12)
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
    expect(next.rooms.map((r) => r.humidityPct)).toEqual([41, 36, 78])
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

  it('TAIL-4 power that comes back at a contact begins a new span; beside a meter the contact changes nothing', () => {
    const back = [{ sensorId: 'n/p', quantity: 'powered' as const, atMs: SHOP_NOW_MS + 1000, value: 1 }]
    const contact = {
      ...board,
      machines: board.machines.map((m) => ({ ...m, power: { ...m.power, bandsFrom: null } })),
    }
    const { power } = withLatest(contact, back, bindings).machines[0] ?? machineOf('roll')
    expect(power.now).toBe('on')
    expect(power.spans.slice(-2).map((s) => s.state)).toEqual(['off', 'on'])
    expect(withLatest(board, back, bindings).machines[0]?.power).toEqual(machineOf('roll').power)
  })

  it('TAIL-5 as time goes on the window moves with it, and closed hours reach now until the shop opens', () => {
    const later = atTime(board, SHOP_NOW_MS + 5 * MIN)
    expect(later.nowMs - later.fromMs).toBe(12 * HOUR)
    expect(later.closedSpans.at(-1)?.toMs).toBe(SHOP_NOW_MS + 5 * MIN)
    const opened = atTime(board, SHOP_NOW_MS + 700 * MIN)
    expect(opened.closedSpans.at(-1)?.toMs).toBe(board.site.nextChangeMs)
  })
})
