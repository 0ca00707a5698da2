import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import { historyCsv } from '../../../../services/codecs/history-csv.ts'
import type { HistoryBand, HistoryView } from '../../../../services/core/model/history-view.ts'

const MIN = 60_000
/** Half an hour around the second 02:30 in Brussels, in the night in which summer time ends. */
const T0 = Date.UTC(2026, 9, 25, 1, 20)

const band = (...means: (number | null)[]): HistoryBand => {
  const moved = (by: number) => means.map((m) => (m === null ? null : m + by))
  return { low: moved(-1), mean: moved(0), high: moved(1), last: moved(0.5) }
}

const VIEW: HistoryView = {
  fromMs: T0,
  toMs: T0 + 30 * MIN,
  readings: { widthMs: 10 * MIN, startsMs: [T0, T0 + 10 * MIN, T0 + 20 * MIN] },
  quarters: { widthMs: 15 * MIN, startsMs: [T0 - 5 * MIN, T0 + 10 * MIN, T0 + 25 * MIN] },
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
      id: 'print-floor',
      title: 'Print floor',
      quietMs: 180_000,
      humidityPct: band(40, null, 42),
      temperatureC: band(20, null, 21),
      vpdKpa: band(1.4, null, 1.4),
      dewPointC: band(-3, null, -2),
    },
  ],
  bottles: [{ id: 'waste', title: 'Waste', quietMs: 180_000, fillPct: band(null, 50, null) }],
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
          doseKpaH: band(7, 8, 9),
        },
      ],
      shares: { off: [1, 0, 0], standby: [0, 1, 1] },
      cleanings: [0, 2, 0],
      uncappedS: [0, 0, 0],
    },
  ],
  closed: [],
  troubles: [
    { machineIds: ['roll'], condition: 'leftOff', title: '=HYPERLINK("x")', fromMs: T0, toMs: T0 + 10 * MIN },
    { machineIds: ['roll'], condition: 'airDry', title: 'Dry, and "very"', fromMs: T0 + 5 * MIN, toMs: null },
    { machineIds: [], condition: 'roomCold', title: 'Cold', fromMs: T0, toMs: T0 + 1 },
  ],
  checks: [
    { machineId: 'roll', atMs: T0, missingNozzles: 0, missing: [] },
    { machineId: 'roll', atMs: T0 + 1, missingNozzles: 3, missing: [{ title: 'White', missingNozzles: 3 }] },
    { machineId: 'roll', atMs: T0 + 20 * MIN, missingNozzles: 0, missing: [] },
  ],
  entries: [{ machineIds: ['roll'], kind: 'care', title: 'Heads cleaned', atMs: T0 + 15 * MIN }],
  sourceNotes: [],
  beginsMs: T0,
  lastNight: null,
  choices: { machines: [], rooms: [], bottles: [] },
  tasks: [{ machineIds: ['roll'], title: 'Wipe it', state: 'signedOff', endedMs: T0 + 20 * MIN }],
}

const text = historyCsv(VIEW, 'Europe/Brussels')
const rows = parse<Record<string, string>>(text, { columns: true })
const column = (name: string) => rows.map((row) => row[name])

describe('historyCsv', () => {
  it('CSV-1 holds every value once, a gap as nothing', () => {
    expect(column('room_print_floor_humidity_pct_min')).toEqual(['39', '', '41'])
    expect(column('room_print_floor_humidity_pct_mean')).toEqual(['40', '', '42'])
    expect(column('room_print_floor_humidity_pct_max')).toEqual(['41', '', '43'])
    expect(column('room_print_floor_humidity_pct_last')).toEqual(['40.5', '', '42.5'])
    expect(column('room_print_floor_dew_point_degc_mean')).toEqual(['-3', '', '-2'])
    expect(column('bottle_waste_fill_pct_mean')).toEqual(['', '50', ''])
  })
  it('CSV-1 writes what is noted by quarters in the first line of its stretch', () => {
    // Quarters begin at 01:15, 01:30 and 01:45 UTC, lines at 01:20, 01:30 and 01:40.
    expect(column('machine_roll_roll_white_dose_kpa_h_mean')).toEqual(['7', '8', ''])
    expect(column('machine_roll_off_share')).toEqual(['1', '0', ''])
    expect(column('machine_roll_cleanings')).toEqual(['0', '2', ''])
  })
  it('CSV-1 tells what checks found, and what was written down', () => {
    expect(column('machine_roll_missing_nozzles')).toEqual(['3', '', '0'])
    expect(column('machine_roll_entries')).toEqual(['', 'Heads cleaned', ''])
  })
  it('CSV-2 is RFC 4180: lines end in CRLF, quotes are doubled, and no text becomes a formula', () => {
    expect(text.split('\r\n')).toHaveLength(5)
    expect(text).toContain('"Dry, and ""very"""')
    expect(column('machine_roll_troubles')).toEqual([
      `'=HYPERLINK("x"); Dry, and "very"`,
      'Dry, and "very"',
      'Dry, and "very"',
    ])
    expect(column('other_troubles')).toEqual(['Cold', '', ''])
    expect(column('machine_roll_tasks_ended')).toEqual(['', '', 'Wipe it'])
  })
  it('CSV-3 tells the two 02:30s of a clock change apart', () => {
    expect(column('start_utc')[1]).toBe('2026-10-25T01:30:00.000Z')
    expect(column('end_utc')[1]).toBe('2026-10-25T01:40:00.000Z')
    expect(column('start_shop')[1]).toBe('2026-10-25T02:30:00+01:00')
    const summer = historyCsv(
      { ...VIEW, readings: { widthMs: 10 * MIN, startsMs: [T0 - 50 * MIN] } },
      'Europe/Brussels',
    )
    expect(summer).toContain('2026-10-25T02:30:00+02:00')
  })
})
