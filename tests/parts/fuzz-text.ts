import fc from 'fast-check'

/** What breaks parsers: quotes, ends of lines, numbers at their limits, letters that take several bytes, prototypes. */
const SPICES = [
  '"', "'", ',', ';', '\t', '\n', '\r\n', '\u0000', '\ufeff', '\u202e', '😀', '\ud800', '{', '}', '[', ']', ':', '- ', '&a ', '*a',
  '!!js/function ', '#', '|', '%', '-0', '1e999', '-1e-999', '9007199254740993', 'NaN', 'null', 'true', '__proto__', 'constructor',
  '\\u0000', '../', '/', '~1', '=1+1', '2026-02-30', '24:61', '1970-01-01T00:00:00Z', ' '.repeat(300), '9'.repeat(400),
] as const // prettier-ignore

type Change =
  | { readonly kind: 'cut'; readonly at: number; readonly length: number }
  | { readonly kind: 'put'; readonly at: number; readonly text: string }
  | { readonly kind: 'repeat'; readonly at: number; readonly length: number; readonly times: number }
  | { readonly kind: 'swap'; readonly at: number; readonly length: number; readonly to: number }

const place = fc.nat({ max: 10_000 })
const length = fc.integer({ min: 1, max: 40 })
const change: fc.Arbitrary<Change> = fc.oneof(
  fc.record({ kind: fc.constant('cut' as const), at: place, length }),
  fc.record({ kind: fc.constant('put' as const), at: place, text: fc.constantFrom(...SPICES) }),
  fc.record({
    kind: fc.constant('put' as const),
    at: place,
    text: fc.string({ unit: 'binary', maxLength: 8 }),
  }),
  fc.record({
    kind: fc.constant('repeat' as const),
    at: place,
    length,
    times: fc.integer({ min: 1, max: 30 }),
  }),
  fc.record({ kind: fc.constant('swap' as const), at: place, length, to: place }),
)

function applied(text: string, one: Change): string {
  const at = text.length === 0 ? 0 : one.at % (text.length + 1)
  switch (one.kind) {
    case 'cut':
      return text.slice(0, at) + text.slice(at + one.length)
    case 'put':
      return text.slice(0, at) + one.text + text.slice(at)
    case 'repeat':
      return text.slice(0, at) + text.slice(at, at + one.length).repeat(one.times) + text.slice(at)
    case 'swap': {
      const piece = text.slice(at, at + one.length)
      const rest = text.slice(0, at) + text.slice(at + one.length)
      const to = rest.length === 0 ? 0 : one.to % (rest.length + 1)
      return rest.slice(0, to) + piece + rest.slice(to)
    }
  }
}

/** Texts near a good one: none to a few changes, or something else altogether. */
export function textsNear(samples: readonly string[]): fc.Arbitrary<string> {
  const near = fc
    .tuple(fc.constantFrom(...samples), fc.array(change, { maxLength: 6 }))
    .map(([text, changes]) => changes.reduce(applied, text))
  return fc.oneof(
    { weight: 8, arbitrary: near },
    { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 200 }) },
    { weight: 1, arbitrary: fc.json({ maxDepth: 4 }) },
  )
}
