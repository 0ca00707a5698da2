import { describe, expect, it } from 'vitest'
import { valueAtPointer } from '../../../../services/codecs/json-pointer.ts'

/** RFC 6901 section 5: the document and all its examples. */
const DOCUMENT = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
}

describe('valueAtPointer', () => {
  it.each<[string, unknown]>([
    ['', DOCUMENT],
    ['/foo', ['bar', 'baz']],
    ['/foo/0', 'bar'],
    ['/', 0],
    ['/a~1b', 1],
    ['/c%d', 2],
    ['/e^f', 3],
    ['/g|h', 4],
    ['/i\\j', 5],
    ['/k"l', 6],
    ['/ ', 7],
    ['/m~0n', 8],
  ])('RFC 6901 section 5: %j names its value', (pointer, value) => {
    expect(valueAtPointer(DOCUMENT, pointer)).toEqual(value)
  })

  it('RFC 6901 section 4: ~01 is ~1, not a slash', () => {
    expect(valueAtPointer({ '~1': 'tilde one', '/': 'slash' }, '/~01')).toBe('tilde one')
  })

  it.each(['/foo/00', '/foo/01', '/foo/-', '/foo/2', '/foo/1e0', '/foo/length', '/nothing', '/foo/0/1'])(
    'RFC 6901 section 4: %j names nothing',
    (pointer) => {
      expect(valueAtPointer(DOCUMENT, pointer)).toBeUndefined()
    },
  )

  it.each(['/constructor', '/__proto__', '/toString', '/foo/constructor'])(
    'what a document inherits is not in it: %j',
    (pointer) => {
      expect(valueAtPointer(DOCUMENT, pointer)).toBeUndefined()
    },
  )

  it('a pointer that does not begin with / is refused', () => {
    expect(() => valueAtPointer(DOCUMENT, 'foo')).toThrow(RangeError)
  })
})
