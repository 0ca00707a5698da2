import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { contextOf, MINUTE, noting, shopWith, watch, type Found, type SensorOf } from './watched-room.ts'
import { trusted } from '../../../../../services/core/track/trusted.ts'

/**
 * Open data (CC BY 4.0): UCI Appliances Energy Prediction, DOI 10.24432/C5VC8G, and UCI Occupancy Detection,
 * DOI 10.24432/C5X01N; see tests/reference/data/LICENSES.md.
 */
type Row = Readonly<Record<string, string>> & { readonly timestamp_local: string }
function rowsOf(file: string): readonly Row[] {
  const text = readFileSync(new URL(`../../../../reference/data/${file}`, import.meta.url), 'utf8')
  const [head = '', ...lines] = text.trimEnd().split('\n')
  const names = head.split(',')
  return lines.map((line) => {
    const cells = line.split(',')
    return Object.fromEntries(names.map((name, i) => [name, cells[i] ?? ''])) as Row
  })
}

type Probe = Omit<SensorOf, 'intervalMs'> & { readonly column: string }

/** All that the three detectors found on these columns, as sensors of one room each told. */
function found(rows: readonly Row[], intervalMs: number, probes: readonly Probe[]): readonly Found[] {
  const settings = shopWith(
    probes.map(({ id, quantity, subject }) => ({ id, quantity, subject, intervalMs })),
  )
  return ['floor', 'store', 'yard'].flatMap((id) => {
    const room = watch(contextOf({ kind: 'room', id }, settings), trusted(noting))
    for (const row of rows) {
      const atMs = Date.parse(`${row.timestamp_local}Z`)
      for (const probe of probes)
        if (probe.subject.id === id) room.read(probe.id, atMs, Number(row[probe.column]))
    }
    return room.found
  })
}

const probe = (roomId: string, quantity: 'humidity' | 'temperature', column: string): Probe => ({
  id: `${roomId}/${column}`,
  quantity,
  subject: { kind: 'room', id: roomId },
  column,
})
const times = (list: readonly Found[]) =>
  list.map(({ condition, sensorId, finding }) => {
    const [from, sure] =
      finding.type === 'opened' ? [finding.fromMs, finding.openedMs] : [finding.toMs, finding.closedMs]
    return [
      condition,
      sensorId,
      finding.type,
      ...[from, sure].map((ms) => new Date(ms).toISOString().slice(0, 16)),
    ]
  })

const HOUSE = [
  probe('floor', 'temperature', 'office_temperature_c'),
  probe('floor', 'humidity', 'office_rh_percent'),
  probe('store', 'temperature', 'ironing_temperature_c'),
  probe('store', 'humidity', 'ironing_rh_percent'),
  probe('yard', 'temperature', 'outdoor_temperature_c'),
  probe('yard', 'humidity', 'outdoor_rh_percent'),
]
const OFFICE = [probe('floor', 'temperature', 'temperature_c'), probe('floor', 'humidity', 'rh_percent')]

describe('good sensors of the open data', () => {
  it('none of six probes of a house is ever called broken in 14 days of readings 10 min apart', () => {
    const rows = rowsOf('house_10min_2000.csv')
    expect(rows).toHaveLength(2000)
    expect(times(found(rows, 10 * MINUTE, HOUSE))).toEqual([])
  })
  it('nor in 137 days of readings 2 h apart', () => {
    expect(times(found(rowsOf('house_2hourly_full.csv'), 120 * MINUTE, HOUSE))).toEqual([])
  })
  it('nor an office in 2000 readings 1 min apart, nor in 16 days of readings 15 min apart', () => {
    expect(times(found(rowsOf('occupancy_office_1min_2000.csv'), MINUTE, OFFICE))).toEqual([])
    expect(times(found(rowsOf('occupancy_office_15min.csv'), 15 * MINUTE, OFFICE))).toEqual([])
  })
  it('nor would an office and a cooler, damper ironing room be, were they two corners of one room, by their temperature', () => {
    const corners = [
      probe('floor', 'temperature', 'office_temperature_c'),
      probe('floor', 'temperature', 'ironing_temperature_c'),
    ]
    expect(times(found(rowsOf('house_10min_2000.csv'), 10 * MINUTE, corners))).toEqual([])
  })
})

describe('the failing outdoor probe of the house', () => {
  const rows = rowsOf('house_outdoor_probe.csv')
  const alone = [probe('yard', 'humidity', 'rh6_percent'), probe('yard', 'temperature', 't6_c')]
  const beside = [
    ...alone,
    probe('yard', 'humidity', 'outdoor_rh_percent'),
    probe('yard', 'temperature', 'outdoor_temperature_c'),
  ]

  it('is believed while it is good, beside the airport too', () => {
    const good = rows.filter((r) => r.timestamp_local < '2016-02')
    expect(good).toHaveLength(79)
    expect(times(found(good, 10 * MINUTE, beside))).toEqual([])
  })
  it('alone, it is found implausible after five readings below 2 %RH, though the night before looked like air', () => {
    const fallen = rows.filter((r) => r.timestamp_local > '2016-02')
    expect(times(found(fallen, 10 * MINUTE, alone))).toEqual([
      ['sensorImplausible', 'yard/rh6_percent', 'opened', '2016-04-20T12:20', '2016-04-20T13:00'],
      ['sensorImplausible', 'yard/rh6_percent', 'closed', '2016-04-20T20:30', '2016-04-21T04:30'],
    ])
  })
  it('beside one other it is out of step two weeks before; which of the two is wrong shows only on the rail', () => {
    expect(times(found(rows, 10 * MINUTE, beside))).toEqual([
      ['sensorOutOfStep', 'yard/outdoor_rh_percent', 'opened', '2016-04-07T15:30', '2016-04-07T20:30'],
      ['sensorOutOfStep', 'yard/rh6_percent', 'opened', '2016-04-07T15:40', '2016-04-07T20:40'],
      ['sensorImplausible', 'yard/rh6_percent', 'opened', '2016-04-20T12:20', '2016-04-20T13:00'],
      ['sensorOutOfStep', 'yard/outdoor_rh_percent', 'closed', '2016-04-20T13:00', '2016-04-20T13:00'],
      ['sensorImplausible', 'yard/rh6_percent', 'closed', '2016-04-20T20:30', '2016-04-21T04:30'],
    ])
  })
})
