import { describe, expect, it } from 'vitest'
import { bandOf, gridOver } from '../../../../../services/core/advise/history/grid.ts'
import { historyView } from '../../../../../services/core/advise/history/history.ts'
import type { HistoryMaterial } from '../../../../../services/core/advise/history/material.ts'
import type { Episode } from '../../../../../services/core/model/episode.ts'
import type { SeriesPoint } from '../../../../../services/core/model/ports/records.ts'
import { stretchesOf, stretchOfQuarter } from '../../../../../services/core/model/machine-stretch.ts'
import { QUARTER_MS, type MachineQuarter } from '../../../../../services/core/model/quarter.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const T0 = Date.UTC(2026, 4, 4, 6)
const HOUR = 3_600_000
const settings = testSettings({
  sensors: [
    { id: 'floor/humidity', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
    { id: 'floor/humidity-2', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
    { id: 'floor/temperature', quantity: 'temperature', subject: { kind: 'room', id: 'floor' } },
    { id: 'bench/waste', quantity: 'mass', subject: { kind: 'bottle', id: 'roll-waste' } },
  ],
})

const point = (hour: number, min: number, mean: number, max: number): SeriesPoint => ({
  atMs: T0 + hour * HOUR,
  min,
  mean,
  max,
  last: mean,
})
const quarter = (n: number, change: Partial<MachineQuarter> = {}): MachineQuarter => ({
  machineId: 'roll',
  endMs: T0 + n * QUARTER_MS,
  seconds: { standby: 900 },
  cleanings: 0,
  uncappedS: 0,
  deficitKpa: 1.2,
  inks: [{ channelGroupId: 'roll-white', doseKpaH: n, certainKpaH: n }],
  ...change,
})

const NOTHING_LOGGED = { checks: [], cares: [], headChanges: [], notes: [] }

type Change = Partial<Omit<HistoryMaterial, 'series'>> & {
  series?: Record<string, readonly SeriesPoint[]>
  quarters15?: readonly MachineQuarter[]
}
function view({ series, quarters15 = [], ...rest }: Change = {}) {
  const window = { fromMs: T0, toMs: T0 + 4 * HOUR }
  return historyView({
    ...window,
    nowMs: T0 + 5 * HOUR,
    settings,
    machines: settings.machines,
    rooms: settings.rooms,
    bottles: settings.bottles,
    readings: gridOver(window, HOUR),
    quarters: gridOver(window, HOUR),
    stretchesOf: () => stretchesOf(quarters15.map(stretchOfQuarter), HOUR),
    episodes: [],
    tasks: [],
    logged: NOTHING_LOGGED,
    sourceNotes: [],
    beginsMs: T0,
    ...rest,
    series: (sensorId) => series?.[sensorId] ?? [],
  })
}
const only = <T>([one]: readonly T[]): T => {
  if (one === undefined) throw new Error('the shop has one of each')
  return one
}
const floor = (change?: Change) => only(view(change).rooms)
const roll = (change?: Change) => only(view(change).machines)

describe('gridOver', () => {
  it('begins at a multiple of its width and covers the window, its last moment too', () => {
    const grid = gridOver({ fromMs: T0 + 1, toMs: T0 + 2 * HOUR + 1 }, HOUR)
    expect(grid.startsMs).toEqual([T0, T0 + HOUR, T0 + 2 * HOUR])
    expect(gridOver({ fromMs: -1, toMs: 1 }, HOUR).startsMs).toEqual([-HOUR, 0])
  })
})

describe('historyView', () => {
  it('PAST-1 shows the extremes of a stretch beside its mean, over all sensors of a room', () => {
    const { humidityPct } = floor({
      series: {
        'floor/humidity': [point(1, 30, 40, 55)],
        'floor/humidity-2': [point(1, 38, 44, 46), point(2, 41, 42, 43)],
      },
    })
    expect(humidityPct).toEqual({
      low: [null, 30, 41, null],
      mean: [null, 42, 42, null],
      high: [null, 55, 43, null],
      last: [null, 42, 42, null],
    })
  })
  it('PAST-1 a value that is turned upside down keeps its lowest lowest', () => {
    const grid = gridOver({ fromMs: T0, toMs: T0 + HOUR }, HOUR)
    expect(bandOf([[point(0, 1, 2, 3)]], grid, (v) => -v)).toEqual({
      low: [-3],
      mean: [-2],
      high: [-1],
      last: [-2],
    })
  })
  it('PAST-2 leaves a gap where either half of the air is missing', () => {
    const { vpdKpa, dewPointC } = floor({
      series: {
        'floor/humidity': [point(0, 50, 50, 50), point(1, 50, 50, 50)],
        'floor/temperature': [point(1, 20, 20, 20), point(2, 20, 20, 20)],
      },
    })
    expect(vpdKpa.mean.map((v) => v !== null)).toEqual([false, true, false, false])
    expect(dewPointC.low.map((v) => v !== null)).toEqual([false, true, false, false])
  })
  it('PAST-3 the deficit and the dew point lie in a band that the extremes allow', () => {
    const { vpdKpa, dewPointC } = floor({
      series: {
        'floor/humidity': [point(0, 40, 50, 60)],
        'floor/temperature': [point(0, 19, 20, 21)],
      },
    })
    // At 20 degC and 50 %RH: 1169 Pa and 9.27 degC (psychrolib 1.1.1; ASHRAE Fundamentals 2017, chapter 1).
    expect(vpdKpa.mean[0]).toBeCloseTo(1.169, 2)
    expect(dewPointC.mean[0]).toBeCloseTo(9.27, 1)
    // At 21 degC and 40 %RH: 1493 Pa and 6.90 degC (the same).
    expect(vpdKpa.high[0]).toBeCloseTo(1.493, 2)
    expect(Number(vpdKpa.low[0])).toBeLessThan(1.0)
    expect(Number(dewPointC.low[0])).toBeLessThan(6.9)
    expect(Number(dewPointC.high[0])).toBeGreaterThan(12)
  })
  it('a probe that fails draws no dew point and breaks nothing', () => {
    const series = {
      'floor/humidity': [point(0, -2, 0, 104)],
      'floor/temperature': [point(0, -300, 20, 20)],
    }
    expect(floor({ series }).vpdKpa.low[0]).toBeNull()
    expect(floor({ series }).humidityPct.high[0]).toBe(100)
  })
  it('tells the bottle in percent of what it holds', () => {
    // 0.2 kg of tare, 2000 mL, 1 kg/L: 1.2 kg is half.
    const { bottles } = view({ series: { 'bench/waste': [point(0, 0.7, 1.2, 1.4)] } })
    expect(only(bottles).fillPct.mean[0]).toBeCloseTo(50)
  })
  it('PAST-1 shows the highest dose of a stretch, and counts what was done in it', () => {
    const quarters15 = [
      quarter(1, { seconds: { standby: 600, cleaning: 300 }, cleanings: 1 }),
      quarter(2, { inks: [{ channelGroupId: 'roll-white', doseKpaH: 0.1, certainKpaH: null }] }),
      quarter(4, { seconds: { off: 900 }, uncappedS: 900 }),
      quarter(9, { seconds: {} }),
    ]
    const machine = roll({ quarters15 })
    const white = machine.inks.find((i) => i.channelGroupId === 'roll-white')
    expect(white).toMatchObject({ limitKpaH: 60, ink: 'white' })
    expect(white?.doseKpaH).toMatchObject({ low: [0.1, null, 9, null], high: [4, null, 9, null] })
    expect(machine.shares).toEqual({
      standby: [0.5556, null, null, null],
      cleaning: [0.1111, null, null, null],
      off: [0.3333, null, null, null],
    })
    expect([machine.cleanings, machine.uncappedS]).toEqual([
      [1, null, 0, null],
      [900, null, 0, null],
    ])
  })
  it('PAST-4 a silence is one when it is longer than what the settings call silent', () => {
    // Three intervals of a minute each, and two minutes at least.
    expect(floor().quietMs).toBe(3 * 60_000)
    expect(only(view().bottles).quietMs).toBe(3 * 60_000)
  })
  it('shades the hours in which the shop was closed, while they can be seen', () => {
    // Monday 08:00 to 12:00 in Brussels; it opens at 08:30.
    expect(view().closed).toEqual([{ fromMs: T0, toMs: T0 + HOUR / 2 }])
    expect(view({ toMs: T0 + 63 * 24 * HOUR }).closed).toEqual([])
  })
  it('PAST-5 names the troubles of the machines shown, and of their room and bottle', () => {
    const trouble = (kind: 'room' | 'machine', id: string): Episode => ({
      id: `airDry|${kind}:${id}|${T0}`,
      condition: kind === 'room' ? 'airDry' : 'powerLost',
      subject: { kind, id },
      judgedUnder: `${kind}:${id}`,
      fromMs: T0,
      openedMs: T0,
      toMs: null,
      closedMs: null,
      value: 36,
      worst: 36,
      shopClosed: false,
    })
    const { troubles } = view({ episodes: [trouble('room', 'floor'), trouble('machine', 'not-shown')] })
    expect(troubles).toMatchObject([{ machineIds: ['roll'], condition: 'airDry', fromMs: T0, toMs: null }])
    expect(troubles[0]?.title).not.toBe('')
    const none = { episodes: [trouble('room', 'floor')], machines: [], bottles: [] }
    expect(view(none).troubles).toMatchObject([{ machineIds: [], condition: 'airDry' }])
    expect(view({ ...none, rooms: [] }).troubles).toEqual([])
  })
  it('tells what else could be asked for: the last night, and all there is', () => {
    const { lastNight, beginsMs, choices } = view()
    // It is Monday 13:00 in Brussels; the shop closed on Friday at 18:00 and opened at 08:30.
    expect(lastNight).toEqual({ fromMs: Date.UTC(2026, 4, 1, 16), toMs: T0 + HOUR / 2 })
    expect(beginsMs).toBe(T0)
    expect(choices.bottles).toEqual([{ id: 'roll-waste', title: 'Waste bottle, left bench' }])
  })
  it('PAST-5 names the work that ended on what is shown', () => {
    const ended = (id: string) => ({
      id,
      subject: { kind: 'machine' as const, id },
      title: 'Clean the wiper',
      state: 'signedOff' as const,
      closedMs: T0 + 5,
    })
    expect(view({ tasks: [ended('roll'), ended('not-shown')] }).tasks).toEqual([
      { machineIds: ['roll'], title: 'Clean the wiper', state: 'signedOff', endedMs: T0 + 5 },
    ])
  })
  it('PAST-5 tells what was written down: checks with what was missing, cleanings with whether they helped', () => {
    const act = { actorId: 'mira', via: 'screen' as const, atMs: T0 + 9 }
    const kept = { machineId: 'roll', note: '', void: false, act }
    const missing = [
      { channelGroupId: 'roll-white', missingNozzles: 8 },
      { channelGroupId: 'roll-colour', missingNozzles: 0 },
    ]
    const check = { kind: 'nozzleCheck' as const, checkId: 'c', checkedMs: T0, reason: 'routine' as const }
    const care = { kind: 'care' as const, careId: 'k', care: 'cleaned' as const, channelGroupIds: [] }
    const change = { kind: 'headChange' as const, changeId: 'h', headId: 'roll-head', changedMs: T0 + 3 }
    const note = { kind: 'note' as const, noteId: 'n', text: 'New humidifier', atMs: T0 + 1 }
    const logged = {
      checks: [
        { ...check, ...kept, missing },
        { ...check, ...kept, missing, machineId: 'gone' },
      ],
      cares: [{ ...care, ...kept, doneMs: T0 + 2, helpedSaid: null, helped: 'no' as const }],
      headChanges: [{ ...change, ...kept }],
      notes: [{ ...note, subject: { kind: 'room' as const, id: 'floor' }, void: false, act }],
    }
    const { checks, entries } = view({ logged })
    expect(checks).toEqual([
      {
        machineId: 'roll',
        atMs: T0,
        missingNozzles: 8,
        missing: [{ title: 'White', missingNozzles: 8 }],
      },
    ])
    expect(entries).toEqual([
      { machineIds: ['roll'], kind: 'note', title: 'New humidifier', atMs: T0 + 1 },
      { machineIds: ['roll'], kind: 'care', title: 'Heads cleaned, did not help', atMs: T0 + 2 },
      { machineIds: ['roll'], kind: 'headChange', title: 'New head: Head', atMs: T0 + 3 },
    ])
  })
})
