import { describe, expect, it } from 'vitest'
import { bandOf, gridOver } from '../../../../../services/core/advise/history/grid.ts'
import { historyView, type HistoryMaterial } from '../../../../../services/core/advise/history/history.ts'
import type { Episode } from '../../../../../services/core/model/episode.ts'
import type { SeriesPoint } from '../../../../../services/core/model/ports/records.ts'
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

type Change = Partial<Omit<HistoryMaterial, 'series'>> & { series?: Record<string, readonly SeriesPoint[]> }
function view({ series, ...rest }: Change = {}) {
  const window = { fromMs: T0, toMs: T0 + 4 * HOUR }
  return historyView({
    ...window,
    nowMs: T0 + 5 * HOUR,
    settings,
    machines: settings.machines,
    readings: gridOver(window, HOUR),
    quarters: gridOver(window, HOUR),
    quartersOf: () => [],
    episodes: [],
    ...rest,
    series: (sensorId) => series?.[sensorId] ?? [],
  })
}
const roll = (change?: Change) => {
  const [machine] = view(change).machines
  if (!machine) throw new Error('the shop has one machine')
  return machine
}

describe('gridOver', () => {
  it('begins at a multiple of its width and covers the window, its last moment too', () => {
    const grid = gridOver({ fromMs: T0 + 1, toMs: T0 + 2 * HOUR + 1 }, HOUR)
    expect(grid.startsMs).toEqual([T0, T0 + HOUR, T0 + 2 * HOUR])
    expect(gridOver({ fromMs: -1, toMs: 1 }, HOUR).startsMs).toEqual([-HOUR, 0])
  })
})

describe('historyView', () => {
  it('PAST-1 shows the extremes of a stretch beside its mean, over all sensors of a room', () => {
    const { humidityPct } = roll({
      series: {
        'floor/humidity': [point(1, 30, 40, 55)],
        'floor/humidity-2': [point(1, 38, 44, 46), point(2, 41, 42, 43)],
      },
    })
    expect(humidityPct).toEqual({
      low: [null, 30, 41, null],
      mean: [null, 42, 42, null],
      high: [null, 55, 43, null],
    })
  })
  it('PAST-1 a value that is turned upside down keeps its lowest lowest', () => {
    const grid = gridOver({ fromMs: T0, toMs: T0 + HOUR }, HOUR)
    expect(bandOf([[point(0, 1, 2, 3)]], grid, (v) => -v)).toEqual({ low: [-3], mean: [-2], high: [-1] })
  })
  it('PAST-2 leaves a gap where either half of the air is missing', () => {
    const { vpdKpa, dewPointC } = roll({
      series: {
        'floor/humidity': [point(0, 50, 50, 50), point(1, 50, 50, 50)],
        'floor/temperature': [point(1, 20, 20, 20), point(2, 20, 20, 20)],
      },
    })
    expect(vpdKpa.mean.map((v) => v !== null)).toEqual([false, true, false, false])
    expect(dewPointC.low.map((v) => v !== null)).toEqual([false, true, false, false])
  })
  it('PAST-3 the deficit and the dew point lie in a band that the extremes allow', () => {
    const { vpdKpa, dewPointC } = roll({
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
    expect(roll({ series }).vpdKpa.low[0]).toBeNull()
    expect(roll({ series }).humidityPct.high[0]).toBe(100)
  })
  it('tells the bottle in percent of what it holds', () => {
    // 0.2 kg of tare, 2000 mL, 1 kg/L: 1.2 kg is half.
    expect(roll({ series: { 'bench/waste': [point(0, 0.7, 1.2, 1.4)] } }).bottlePct?.mean[0]).toBeCloseTo(50)
  })
  it('PAST-1 shows the highest dose of a stretch, and counts what was done in it', () => {
    const quartersOf = () => [
      quarter(1, { seconds: { standby: 600, cleaning: 300 }, cleanings: 1 }),
      quarter(2, { inks: [{ channelGroupId: 'roll-white', doseKpaH: 0.1, certainKpaH: null }] }),
      quarter(4, { seconds: { off: 900 }, uncappedS: 900 }),
      quarter(9, { seconds: {} }),
    ]
    const machine = roll({ quartersOf })
    const white = machine.inks.find((i) => i.channelGroupId === 'roll-white')
    expect(white).toMatchObject({ limitKpaH: 60, ink: 'white' })
    expect(white?.doseKpaH).toMatchObject({ low: [0.1, null, 9, null], high: [4, null, 9, null] })
    expect(machine.shares).toEqual({
      standby: [1500 / 2700, null, null, null],
      cleaning: [300 / 2700, null, null, null],
      off: [900 / 2700, null, null, null],
    })
    expect([machine.cleanings, machine.uncappedS]).toEqual([
      [1, null, 0, null],
      [900, null, 0, null],
    ])
  })
  it('names the troubles of the machines shown, and of their room and bottle', () => {
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
  })
})
