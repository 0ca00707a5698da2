import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { fieldErrorsOf, toJsonPointer, toSentence } from '../../../../services/codecs/problem-details.ts'

const faults = (schema: z.ZodType, value: unknown) =>
  fieldErrorsOf(schema.safeParse(value).error?.issues ?? [])

describe('problem details', () => {
  it('POINTER-1 ~ and / are escaped as RFC 6901 section 3 says', () => {
    expect(toJsonPointer(['a/b', 'm~n', 0])).toBe('/a~1b/m~0n/0')
    expect(toJsonPointer([])).toBe('')
  })

  it('FIELD-1 each fault names its field and the cure', () => {
    const schema = z.strictObject({
      name: z.string(),
      count: z.int().max(5),
      kind: z.enum(['a', 'b']),
      list: z.array(z.boolean()),
    })
    expect(faults(schema, { count: 9, kind: 'c', list: [1], extra: 1 })).toEqual([
      { pointer: '/name', detail: 'is missing: give a text' },
      { pointer: '/count', detail: 'expected number to be <=5' },
      { pointer: '/kind', detail: 'expected one of "a"|"b"' },
      { pointer: '/list/0', detail: 'must be true or false, not a number' },
      { pointer: '/extra', detail: 'extra is not known here: check the spelling, or leave it out' },
    ])
  })

  it('FIELD-2 of very many faults fifty are told, and five in one sentence', () => {
    const errors = faults(
      z.array(z.string()),
      Array.from({ length: 100 }, () => 1),
    )
    expect(errors).toHaveLength(50)
    expect(toSentence(errors)).toMatch(/^0: must be a text, not a number; 1: .*; and 45 more$/)
  })
})
