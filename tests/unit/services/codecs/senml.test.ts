import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parseSenml, toSenmlJson, type ResolvedRecord } from '../../../../services/codecs/senml.ts'

// Source: the example files of the core-wg/senml-spec repository, of which RFC 8428 was built.
interface Resolved {
  readonly n: string
  readonly u?: string
  readonly t: number
  readonly v: number
}
interface Example {
  readonly file: string
  readonly pack: unknown
  readonly resolved: readonly Resolved[] | null
}
const { examples } = JSON.parse(
  readFileSync(new URL('../../../reference/senml_vectors.json', import.meta.url), 'utf8'),
) as { examples: readonly Example[] }

/** The clock against which the working group resolved its examples. */
const BUILD_CLOCK_MS = 1_498_780_179_000
const NOW_MS = 1_764_000_000_000

function records(pack: unknown, nowMs = NOW_MS): readonly ResolvedRecord[] {
  const result = parseSenml(typeof pack === 'string' ? pack : JSON.stringify(pack), { nowMs })
  if (!result.ok) throw new RangeError(`refused at ${result.field}: ${result.reason}`)
  return result.records
}

function refusal(pack: unknown): { field: string; reason: string } {
  const result = parseSenml(pack, { nowMs: NOW_MS })
  if (result.ok) throw new RangeError('the pack was taken')
  return { field: result.field, reason: result.reason }
}

function asResolved(record: ResolvedRecord): Record<string, unknown> {
  const value = record.value.kind === 'boolean' ? 'vb' : record.value.kind === 'data' ? 'vd' : 'v'
  return {
    n: record.name,
    ...(record.unit === undefined ? {} : { u: record.unit }),
    t: record.atMs / 1000,
    [record.value.kind === 'string' ? 'vs' : value]: record.value.v,
  }
}

describe('the examples of RFC 8428', () => {
  const usable = examples.filter((e) => e.resolved !== null)

  it('come with eleven resolved forms', () => {
    expect(usable).toHaveLength(11)
  })

  it.each(usable)('$file resolves as the working group resolved it', ({ pack, resolved }) => {
    // `l` (links) is an extension that the codec does not know and passes over.
    const expected = (resolved ?? []).map((r) => ({
      n: r.n,
      ...(r.u === undefined ? {} : { u: r.u }),
      t: r.t,
      v: r.v,
    }))
    expect(records(pack, BUILD_CLOCK_MS).map(asResolved)).toEqual(expected)
  })

  it('ex7.json holds all four kinds of value (by the text of section 4; its resolved file is stale)', () => {
    const pack = examples.find((e) => e.file === 'ex7.json')?.pack
    const base = 'urn:dev:ow:10e2073a01080063:'
    expect(records(pack, BUILD_CLOCK_MS)).toEqual([
      { name: `${base}temp`, unit: 'Cel', atMs: BUILD_CLOCK_MS, value: { kind: 'number', v: 23.1 } },
      { name: `${base}label`, atMs: BUILD_CLOCK_MS, value: { kind: 'string', v: 'Machine Room' } },
      { name: `${base}open`, atMs: BUILD_CLOCK_MS, value: { kind: 'boolean', v: false } },
      { name: `${base}nfv-reader`, atMs: BUILD_CLOCK_MS, value: { kind: 'data', v: 'aGkgCg' } },
    ])
  })

  it('ex13.json: time is base time plus time (worked by hand from section 4.5.3)', () => {
    const pack = examples.find((e) => e.file === 'ex13.json')?.pack
    expect(records(pack).map((r) => [r.name, r.unit, r.atMs, r.value.v])).toEqual([
      ['2001:db8::3', '/', 1_320_078_429_000, 0.5],
      ['2001:db8::4', '/', 1_320_078_429_000, 0.5],
      ['2001:db8::3', '/', 1_320_078_429_100, 0],
      ['2001:db8::4', '/', 1_320_078_429_100, 0],
    ])
  })
})

describe('base fields (RFC 8428 sections 4.1 and 4.5)', () => {
  it('SENML-1 a base field stands until a later record gives another', () => {
    const pack = [
      { bn: 'a/', bt: 1_700_000_000, bu: 'W', bv: 100, n: 'x', v: 1 },
      { n: 'y', u: 'V', v: 2 },
      { bn: 'b/', bv: 0, n: 'z', v: 3 },
    ]
    expect(records(pack)).toEqual([
      { name: 'a/x', unit: 'W', atMs: 1_700_000_000_000, value: { kind: 'number', v: 101 } },
      { name: 'a/y', unit: 'V', atMs: 1_700_000_000_000, value: { kind: 'number', v: 102 } },
      { name: 'b/z', unit: 'W', atMs: 1_700_000_000_000, value: { kind: 'number', v: 3 } },
    ])
  })

  it('SENML-2 a missing value counts as 0 where a base value stands, a missing sum where a base sum does', () => {
    expect(records([{ bv: 5, n: 'a', t: 0 }])[0]?.value).toEqual({ kind: 'number', v: 5 })
    expect(records([{ bs: 7, n: 'a', v: 1 }])[0]).toMatchObject({ sum: 7, value: { kind: 'number', v: 1 } })
    expect(records([{ bs: 7, n: 'a', s: 2 }])[0]).toMatchObject({ sum: 9, value: { kind: 'sum', v: 9 } })
  })

  it('SENML-3 a base value is not added to text, a yes or no, or data', () => {
    const pack = [
      { bv: 5, n: 'a', vs: 'on' },
      { n: 'b', vb: true },
      { n: 'c', vd: '' },
    ]
    expect(records(pack).map((r) => r.value)).toEqual([
      { kind: 'string', v: 'on' },
      { kind: 'boolean', v: true },
      { kind: 'data', v: '' },
    ])
  })

  it('SENML-4 a record of base fields alone is a heading and measures nothing', () => {
    expect(
      records([
        { bn: 'a/', bv: 5 },
        { n: 'x', v: 1 },
      ]),
    ).toHaveLength(1)
  })

  it('SENML-5 a record may hold a value and a sum, and say when the next is due', () => {
    expect(records([{ n: 'a', v: 1, s: 2, ut: 30 }])[0]).toEqual({
      name: 'a',
      atMs: NOW_MS,
      value: { kind: 'number', v: 1 },
      sum: 2,
      updateWithinS: 30,
    })
  })
})

describe('time (RFC 8428 section 4.5.3)', () => {
  it('TIME-1 below 2^28 s a time counts from now, from there on since 1970', () => {
    const at = (t: number): number | undefined => records([{ n: 'a', v: 1, t }])[0]?.atMs
    expect(at(-2.5)).toBe(NOW_MS - 2500)
    expect(at(60)).toBe(NOW_MS + 60_000)
    expect(at(268_435_455)).toBe(NOW_MS + 268_435_455_000)
    // 1978-07-04T21:24:16Z stands in the section itself.
    expect(at(268_435_456)).toBe(Date.UTC(1978, 6, 4, 21, 24, 16))
  })

  it('TIME-2 it is the sum of base time and time that is compared', () => {
    expect(records([{ n: 'a', v: 1, bt: 268_435_455, t: 1 }])[0]?.atMs).toBe(268_435_456_000)
    expect(records([{ n: 'a', v: 1, bt: -10, t: 4 }])[0]?.atMs).toBe(NOW_MS - 6000)
  })

  it('TIME-3 a time beyond the calendar is refused', () => {
    expect(refusal('[{"n":"a","v":1,"t":-1e300}]').field).toBe('[0].t')
    expect(refusal('[{"n":"a","v":1,"t":1e300}]').field).toBe('[0].t')
  })
})

describe('what is refused, where, and with which cure', () => {
  const cases: readonly [string, string, string][] = [
    ['text that is not JSON', '{', ''],
    ['an object', '{"n":"a","v":1}', ''],
    ['an empty pack', '[]', ''],
    ['a record that is a list', '[[]]', '[0]'],
    ['a record that is null', '[{"n":"a","v":1},null]', '[1]'],
    ['a record that says nothing', '[{}]', '[0]'],
    ['no name', '[{"v":1}]', '[0].n'],
    ['a name that begins with a mark', '[{"n":"_a","v":1}]', '[0].n'],
    ['a name with a space', '[{"n":"a b","v":1}]', '[0].n'],
    ['a base name with a wrong letter', '[{"bn":"é","v":1}]', '[0].bn'],
    ['a name that ends in a line feed', '[{"n":"a\\n","v":1}]', '[0].n'],
    ['no value', '[{"n":"a","u":"V"}]', '[0]'],
    ['two values', '[{"n":"a","v":1,"vb":true}]', '[0]'],
    ['a number in quotes', '[{"n":"a","v":"1"}]', '[0].v'],
    ['a null value', '[{"n":"a","v":null}]', '[0].v'],
    ['an infinite value', '[{"n":"a","v":1e999}]', '[0].v'],
    ['an infinite sum of base value and value', '[{"bv":1.7e308,"n":"a","v":1.7e308}]', '[0].v'],
    ['an infinite sum of base sum and sum', '[{"bs":1.7e308,"n":"a","s":1.7e308}]', '[0].s'],
    ['a yes or no in quotes', '[{"n":"a","vb":"true"}]', '[0].vb'],
    ['a number as text value', '[{"n":"a","vs":1}]', '[0].vs'],
    ['padded data', '[{"n":"a","vd":"aGkgCg=="}]', '[0].vd'],
    ['data of an impossible length', '[{"n":"a","vd":"aGkgC"}]', '[0].vd'],
    ['a unit that is a number', '[{"n":"a","v":1},{"n":"b","u":3,"v":1}]', '[1].u'],
    ['a negative time to the next value', '[{"n":"a","v":1,"ut":-1}]', '[0].ut'],
    ['a later version', '[{"bver":11,"n":"a","v":1}]', '[0].bver'],
    ['a version that is no whole number', '[{"bver":9.5,"n":"a","v":1}]', '[0].bver'],
    ['a version of 0', '[{"bver":0,"n":"a","v":1}]', '[0].bver'],
    ['two versions in a pack', '[{"bver":5,"n":"a","v":1},{"bver":10,"n":"a","v":1}]', '[1].bver'],
    ['a version after a record of version 10', '[{"n":"a","v":1},{"bver":5,"n":"a","v":1}]', '[1].bver'],
    ['a label that must be understood', '[{"n":"a","v":1,"foo_":1}]', '[0].foo_'],
    ['such a label hidden in the prototype', '[{"n":"a","v":1,"__proto__":1}]', '[0].__proto__'],
  ]

  it.each(cases)('SENML-6 %s', (_, text, field) => {
    const refused = refusal(text)
    expect(refused.field).toBe(field)
    expect(refused.reason).toMatch(/: [a-z]/)
  })

  it('SENML-7 a parsed value is read like its text; other values are refused, not thrown', () => {
    expect(parseSenml([{ n: 'a', v: 1 }], { nowMs: 0 }).ok).toBe(true)
    for (const odd of [undefined, null, 3, true, Symbol('x'), () => 1]) {
      expect(parseSenml(odd, { nowMs: 0 }).ok).toBe(false)
    }
  })

  it('SENML-8 unknown labels are passed over, and a lower version is read', () => {
    expect(records('[{"bver":5,"n":"a","v":1,"l":"links"},{"n":"b","v":2}]')).toHaveLength(2)
  })
})

describe('toSenmlJson', () => {
  it('SENML-9 refuses what JSON cannot hold', () => {
    expect(() => toSenmlJson([{ n: 'a', v: Number.NaN }])).toThrow(RangeError)
    expect(() => toSenmlJson([{ n: 'a', v: 1, t: Number.POSITIVE_INFINITY }])).toThrow(/in t/)
  })

  it('SENML-10 writes exponents with a lower-case e (section 5)', () => {
    expect(toSenmlJson([{ n: 'a', v: 1e21 }])).toBe('[{"n":"a","v":1e+21}]')
  })
})
