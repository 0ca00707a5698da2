import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseSenml, toSenmlJson, type SenmlRecord } from '../../services/codecs/senml.ts'

const NOW_MS = 1_764_000_000_000
const first = fc.constantFrom(...'AZaz09')
const name = fc
  .tuple(first, fc.string({ unit: fc.constantFrom(...'azAZ09:./_-'), maxLength: 20 }))
  .map(([a, b]) => a + b)
const finite = fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e12, max: 1e12 }).map((v) => v + 0)
const value = fc.oneof(
  finite.map((v) => ({ v })),
  fc.string().map((vs) => ({ vs })),
  fc.boolean().map((vb) => ({ vb })),
  fc.uint8Array({ maxLength: 12 }).map((bytes) => ({ vd: Buffer.from(bytes).toString('base64url') })),
)
/** Records that need no resolving: full names and whole ms since 1978. */
const plainRecord = fc
  .tuple(
    name,
    fc.option(fc.string({ minLength: 1, maxLength: 5 })),
    fc.integer({ min: 268_435_456_000, max: 4e12 }),
    value,
  )
  .map(([n, u, atMs, v]) => ({ record: { n, ...(u === null ? {} : { u }), t: atMs / 1000, ...v }, atMs }))

describe('the SenML codec over any input', () => {
  it('what is written is read back the same', () => {
    const reached = { number: 0, string: 0, boolean: 0, data: 0, sum: 0 }
    fc.assert(
      fc.property(fc.array(plainRecord, { minLength: 1, maxLength: 30 }), (plain) => {
        const result = parseSenml(toSenmlJson(plain.map((p) => p.record)), { nowMs: NOW_MS })
        expect(result).toMatchObject({ ok: true })
        if (!result.ok) return
        expect(result.records).toHaveLength(plain.length)
        result.records.forEach((got, i) => {
          const sent: SenmlRecord | undefined = plain[i]?.record
          reached[got.value.kind]++
          expect(got.name).toBe(sent?.n)
          expect(got.unit).toBe(sent?.u)
          expect(got.atMs).toBe(plain[i]?.atMs)
          expect(got.value.v).toBe(sent?.v ?? sent?.vs ?? sent?.vb ?? sent?.vd)
        })
      }),
    )
    expect(reached.number).toBeGreaterThan(0)
    expect(reached.string).toBeGreaterThan(0)
    expect(reached.boolean).toBeGreaterThan(0)
    expect(reached.data).toBeGreaterThan(0)
  })

  it('base fields change the text and not the meaning', () => {
    let shortened = 0
    fc.assert(
      fc.property(fc.array(plainRecord, { minLength: 1, maxLength: 10 }), name, (plain, base) => {
        const full = plain.map(({ record }) => ({ ...record, n: `${base}/${record.n}` }))
        const [head, ...rest] = plain.map((p) => p.record)
        const short = [{ ...head, bn: `${base}/` }, ...rest]
        if (JSON.stringify(short).length < JSON.stringify(full).length) shortened++
        expect(parseSenml(short, { nowMs: NOW_MS })).toEqual(parseSenml(full, { nowMs: NOW_MS }))
      }),
    )
    expect(shortened).toBeGreaterThan(0)
  })

  it('no JSON makes it throw, and every refusal says why', () => {
    const label = fc.constantFrom(
      'n',
      'u',
      'v',
      'vs',
      'vb',
      'vd',
      's',
      't',
      'ut',
      'bn',
      'bt',
      'bu',
      'bv',
      'bs',
      'bver',
      'x_',
      'x',
    )
    const nearly = fc.array(fc.dictionary(label, fc.oneof(fc.jsonValue(), finite, name, fc.boolean())), {
      maxLength: 5,
    })
    let taken = 0
    let refused = 0
    fc.assert(
      fc.property(
        fc.oneof(
          fc.json(),
          nearly.map((n) => JSON.stringify(n)),
          // Sound but for what one more label may do to it.
          fc.tuple(name, finite, nearly).map(([n, v, [more]]) => JSON.stringify([{ ...more, n, v }])),
          fc.string(),
        ),
        (text) => {
          const result = parseSenml(text, { nowMs: NOW_MS })
          if (result.ok) {
            taken++
            for (const r of result.records) expect(Number.isSafeInteger(r.atMs)).toBe(true)
          } else {
            refused++
            expect(result.reason.length).toBeGreaterThan(10)
          }
        },
      ),
      { numRuns: 3000 },
    )
    expect(taken).toBeGreaterThan(0)
    expect(refused).toBeGreaterThan(0)
  })
})
