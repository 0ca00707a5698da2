import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  createRowReader,
  readHeading,
  READINGS_HEADING,
  toReadingLine,
  type ReadingColumns,
} from '../../../../services/codecs/readings-csv.ts'
import { POSSIBLE_RANGE, QUANTITIES } from '../../../../services/core/model/quantity.ts'

const NOW = Date.UTC(2026, 10, 28)
const columnsOf = (heading: string): ReadingColumns => {
  const columns = readHeading(heading)
  if (typeof columns === 'string') throw new Error(columns)
  return columns
}
const row = createRowReader(columnsOf(READINGS_HEADING), NOW)
const problemOf = (line: string | null): string => {
  const outcome = row(line)
  return outcome.ok ? 'sound' : `${outcome.problem.field}: ${outcome.problem.problem}`
}

describe('a file of readings', () => {
  it('what is written is read back the same, whatever the order of columns and quotes', () => {
    const reached = { total: 0, negative: 0, tiny: 0 }
    const reading = fc
      .record({
        node: fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,20}$/),
        name: fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,20}$/),
        quantity: fc.constantFrom(...QUANTITIES),
        atMs: fc.integer({ min: Date.UTC(2000, 0, 1), max: NOW }),
        share: fc.double({ min: 0, max: 1, noNaN: true }),
      })
      .map(({ node, name, quantity, atMs, share }) => {
        const [low, high] = POSSIBLE_RANGE[quantity]
        return { sensorId: `${node}/${name}`, quantity, atMs, value: low + share * (high - low) + 0 }
      })
    fc.assert(
      fc.property(
        reading,
        fc.shuffledSubarray([0, 1, 2, 3, 4], { minLength: 5 }),
        fc.boolean(),
        (sent, order, quoted) => {
          const cells = toReadingLine(sent).split(',')
          const names = READINGS_HEADING.split(',')
          const shuffled = (of: string[]): string => order.map((i) => of[i] ?? '').join(',')
          const read = createRowReader(columnsOf(shuffled(names)), NOW)
          const line = shuffled(quoted ? cells.map((cell) => `"${cell}"`) : cells)
          expect(read(line)).toEqual({ ok: true, reading: sent })
          reached.total++
          if (sent.value < 0) reached.negative++
          if (Math.abs(sent.value) < 1e-6) reached.tiny++
        },
      ),
      { numRuns: 2_000 },
    )
    expect(Math.min(...Object.values(reached))).toBeGreaterThan(20)
  })

  it.each([
    [`\uFEFF${READINGS_HEADING}`, 'object'],
    ['Value, Time ,UNIT,quantity,sensor', 'object'],
    [undefined, /file is empty.*sensor,quantity,unit,time,value/],
    ['', /file is empty/],
    [null, /longer than 4096/],
    ['s\0e\0n\0', /save the file as CSV in UTF-8/],
    ['sensor;quantity;unit;time;value', /separated by semicolons.*save the file with commas/],
    ['sensor\tquantity\tunit\ttime\tvalue', /semicolons or tabs/],
    ['sensor,quantity,unit,time,value,value', /column value stands there twice/],
    ['sensor,quantity,unit,value', /no column time/],
    ['sensor,quantity,unit,time,value,note', /no use for a column note; take it out/],
    ['sensor,"quantity', /no column sensor/],
  ])('the heading %j', (heading, wanted) => {
    const read = readHeading(heading)
    if (typeof wanted === 'string') expect(typeof read).toBe(wanted)
    else expect(read).toMatch(wanted)
  })

  it.each([
    ['a/b,humidity,%RH,2026-05-04T08:00:00+02:00,45.2', /^sound$/],
    ['a/b,humidity,%RH,1777874400000,4.52e1', /^sound$/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00+02:00,45,2', /^row: .*decimal comma.*45\.2/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,"45,2"', /^value: has a decimal comma; write a point/],
    ['a/b;humidity;%RH;2026-05-04T08:00:00Z;45', /^row: has 1 cell where 5 belong/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00,45', /^time: write ISO 8601 with an offset/],
    ['a/b,humidity,%RH,04.05.2026 08:00,45', /^time: write ISO 8601/],
    ['a/b,humidity,%RH,2026-02-30T08:00:00Z,45', /^time: write ISO 8601/],
    ['a/b,humidity,%RH,1777874400,45', /^time: lies before 2000; if these are seconds/],
    ['a/b,humidity,%RH,2027-01-01T00:00:00Z,45', /^time: lies in the future/],
    ['a/b,humidity,%,2026-05-04T08:00:00Z,45', /^unit: humidity is written in %RH/],
    ['a/b,moisture,%RH,2026-05-04T08:00:00Z,45', /^quantity: .*write one of humidity/],
    ['a b,humidity,%RH,2026-05-04T08:00:00Z,45', /^sensor: a sensor id is its node/],
    ["=cmd|' /C calc'!A0,humidity,%RH,2026-05-04T08:00:00Z,45", /^sensor: a sensor id/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,NaN', /^value: is no number/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,Infinity', /^value: is no number/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,0x10', /^value: is no number/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,', /^value: is empty/],
    ['a/b,humidity,%RH,2026-05-04T08:00:00Z,101', /^value: 101 cannot be: humidity is between 0 and 100 %RH/],
    ['"a/b,humidity,%RH,2026-05-04T08:00:00Z,45', /^row: its quotes do not close/],
    [null, /^row: is longer than/],
  ])('the row %j', (line, wanted) => expect(problemOf(line)).toMatch(wanted))

  it('any line at all is read or refused, and never thrown over', () => {
    const reached = { refused: 0 }
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom(...',"\';=\r%a1 -/.\u0000é'), maxLength: 40 }),
        (line) => {
          expect(() => {
            if (!row(line).ok) reached.refused++
            readHeading(line)
          }).not.toThrow()
        },
      ),
      { numRuns: 2_000 },
    )
    expect(reached.refused).toBeGreaterThan(100)
  })
})
