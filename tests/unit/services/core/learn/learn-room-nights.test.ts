import { expect, it } from 'vitest'
import {
  learnRoomNights,
  ROOM_NIGHTS_VERSION,
  type RoomCell,
} from '../../../../../services/core/learn/learn-room-nights.ts'
import { roomNightsSchema } from '../../../../../services/core/model/learned/room-nights.ts'

const at = (text: string) => Date.parse(text)
const CELL = 15 * 60_000

function cells(
  from: string,
  to: string,
  humidityPct: (atMs: number) => number | null = () => 45,
): RoomCell[] {
  const count = (at(to) - at(from)) / CELL
  return Array.from({ length: count }, (_, k) => at(from) + k * CELL).map((atMs) => ({
    atMs,
    temperatureC: 21,
    humidityPct: humidityPct(atMs),
  }))
}
function learn(past: readonly RoomCell[], to: string, timeZone = 'UTC') {
  return learnRoomNights({ roomId: 'print-room', cells: past, toMs: at(to), timeZone })
}

it('remembers the dates measured, with who, from when to when and by which method', () => {
  const nights = learn(cells('2026-03-02T00:00Z', '2026-03-04T03:00Z'), '2026-03-04T03:00Z')

  expect(roomNightsSchema.parse(nights)).toEqual(nights)
  expect(nights).toMatchObject({
    kind: 'roomNights',
    subjectId: 'print-room',
    toMs: at('2026-03-04T03:00Z'),
    version: ROOM_NIGHTS_VERSION,
  })
  expect(nights?.days.map((d) => d.date)).toEqual(['2026-03-02', '2026-03-03', '2026-03-04'])
  expect(nights?.days[2]?.humidityPct.findLastIndex((v) => v !== null)).toBe(6)
})

it('slot i is the mean around i x 30 min: the cell before it and the cell after it', () => {
  const past = cells('2026-03-02T00:00Z', '2026-03-03T00:00Z', (atMs) =>
    atMs < at('2026-03-02T08:00Z') ? 40 : 50,
  )
  const day = learn(past, '2026-03-03T00:00Z')?.days[0]

  expect(day?.humidityPct.slice(15, 18)).toEqual([40, 45, 50])
})

it('what nobody measured is null, and so is what is no air', () => {
  const past = cells('2026-03-02T00:00Z', '2026-03-03T00:00Z', (atMs) => {
    const hour = new Date(atMs).getUTCHours()
    return hour === 5 ? null : hour === 6 ? NaN : hour === 7 ? 130 : 45
  })
  const day = learn(past, '2026-03-03T00:00Z')?.days[0]

  // 05:00 still has the cell before it, 08:00 the cell after it.
  expect(day?.humidityPct.slice(10, 17)).toEqual([45, null, null, null, null, null, 45])
  expect(day?.temperatureC).not.toContain(null)
})

it('a date with less than 2 h measured is left out, and nothing at all gives null', () => {
  const past = [
    ...cells('2026-03-02T10:00Z', '2026-03-02T11:00Z'),
    ...cells('2026-03-03T00:00Z', '2026-03-04T00:00Z'),
  ]

  expect(learn(past, '2026-03-04T00:00Z')?.days.map((d) => d.date)).toEqual(['2026-03-03'])
  expect(learn([], '2026-03-04T00:00Z')).toBeNull()
})

it('at most 28 dates, the newest, whatever the order of the cells; nothing from the time it is learned on', () => {
  const past = cells('2026-01-01T00:00Z', '2026-03-05T00:00Z').reverse()
  const days = learn(past, '2026-03-04T03:00Z')?.days ?? []

  expect(days).toHaveLength(28)
  expect(days[0]?.date).toBe('2026-02-05')
  expect(days.at(-1)?.date).toBe('2026-03-04')
  expect(
    days
      .at(-1)
      ?.humidityPct.slice(8)
      .every((v) => v === null),
  ).toBe(true)
})

it('dates and slots are those of the wall clock; the hour that clocks skip is null, the one that comes twice a mean', () => {
  // Brussels: 29 March 2026 02:00 to 03:00 is not there; 25 October 2026 02:00 to 03:00 comes twice.
  const spring = learn(
    cells('2026-03-28T23:00Z', '2026-03-29T22:00Z'),
    '2026-03-29T22:00Z',
    'Europe/Brussels',
  )
  expect(spring?.days.map((d) => d.date)).toEqual(['2026-03-29'])
  expect(spring?.days[0]?.humidityPct.flatMap((v, slot) => (v === null ? [slot] : []))).toEqual([5])

  const autumn = cells('2026-10-24T22:00Z', '2026-10-25T23:00Z', (atMs) =>
    atMs < at('2026-10-25T01:00Z') ? 40 : 50,
  )
  const day = learn(autumn, '2026-10-25T23:00Z', 'Europe/Brussels')?.days.find((d) => d.date === '2026-10-25')
  expect(day?.humidityPct[5]).toBe(45)
})

it('the value stays small: four weeks in less than 24 kB', () => {
  const past = cells('2026-02-01T00:00Z', '2026-03-04T00:00Z', (atMs) => 45 + Math.sin(atMs))

  expect(JSON.stringify(learn(past, '2026-03-04T00:00Z')).length).toBeLessThan(24_000)
})
