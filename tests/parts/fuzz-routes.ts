import fc from 'fast-check'
import { ORIGIN, problemOf, type WebShop } from './web-shop.ts'

/** What of JSON Schema the API's description uses. */
interface Schema {
  readonly $ref?: string
  readonly type?: string | readonly string[]
  readonly enum?: readonly unknown[]
  readonly const?: unknown
  readonly anyOf?: readonly Schema[]
  readonly oneOf?: readonly Schema[]
  readonly allOf?: readonly Schema[]
  readonly properties?: Readonly<Record<string, Schema>>
  readonly additionalProperties?: boolean | Schema
  readonly items?: Schema
  readonly minimum?: number
  readonly maximum?: number
}
interface Parameter {
  readonly name: string
  readonly in: string
  readonly schema?: Schema
}
interface Operation {
  readonly parameters?: readonly Parameter[]
  readonly requestBody?: { readonly content: Readonly<Record<string, { readonly schema?: Schema }>> }
}
interface Description {
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>
  readonly components?: { readonly schemas?: Readonly<Record<string, Schema>> }
}
interface Case {
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE'
  readonly url: string
  readonly body?: unknown
}

/** Streams never end; signing out takes no input, and would end the one session there is. */
const LEFT_OUT = /events$|^(delete) .*\/sessions?$/
/** Names that the shop of the tests knows, so that some cases get beyond the door, and what is no name. */
const WORDS = [
  'roll', 'roll-white', 'roll-colour', 'roll-head', 'floor', 'bench', 'bench/humidity', 'humidity', 'Europe/Brussels', '2026-05-04',
  '2026-05-04T08:00:00Z', '08:30', 'https://example.net/', 'ana@example.net', '', ' ', '../x', '__proto__', 'a\u202eb', '<b>', '%00',
] as const // prettier-ignore
const DEEPEST = 5
/** Made once: making them is slow. */
const ANYTHING = fc.oneof(fc.jsonValue({ maxDepth: 2 }), fc.constantFrom(...WORDS))
const TEXTS = fc.oneof(
  fc.constantFrom(...WORDS),
  fc.string({ unit: 'binary' }),
  fc.string({ minLength: 300 }),
)

/**
 * Sends to every route of the API what is near to what it takes, by its own description: missing and unknown fields,
 * values of other types and sizes. Law: no answer of 500, none that nobody signed in for, and every refusal is problem
 * details (RFC 9457) with words.
 *
 * @returns how often each status was answered.
 * @throws what fast-check says of a broken law, with its seed.
 */
export async function fuzzRoutes(
  shop: WebShop,
  { cases, seed }: { cases: number; seed?: number },
): Promise<ReadonlyMap<number, number>> {
  const description = (await shop.app.inject({ url: '/api/openapi.json' })).json<Description>()
  const headers = { origin: ORIGIN, ...shop.headersOf('owner') }
  const seen = new Map<number, number>()
  const property = fc.asyncProperty(anyCase(description), async ({ method, url, body }) => {
    const response = await shop.app.inject({
      method,
      url,
      headers: { ...headers, ...(body === undefined ? {} : { 'content-type': 'application/json' }) },
      ...(body === undefined ? {} : { payload: JSON.stringify(body) }),
      // Else the limits on how often one place may ask would answer for the routes.
      remoteAddress: `2001:db8::${(url.length * 7919 + (JSON.stringify(body)?.length ?? 0)).toString(16).slice(-4)}`,
    })
    const { statusCode } = response
    seen.set(statusCode, (seen.get(statusCode) ?? 0) + 1)
    const said = `${statusCode} (${String(response.headers['content-type'])}) to ${method} ${url.slice(0, 200)}: ${response.body.slice(0, 300)}`
    if (statusCode === 500) throw new Error(said)
    if (statusCode === 401 && !url.includes('/session')) throw new Error(said)
    // What is opened by people and calendars says on a page or in a line what is wrong.
    if (statusCode < 400 || !url.startsWith('/api/')) return
    if (response.headers['content-type'] !== 'application/problem+json') throw new Error(said)
    if (!problemOf(response).detail) throw new Error(said)
  })
  // Shrinking whole bodies takes minutes, and says little more than the case itself.
  await fc.assert(property, { numRuns: cases, endOnFailure: true, ...(seed === undefined ? {} : { seed }) })
  return seen
}

function anyCase({ paths, components }: Description): fc.Arbitrary<Case> {
  const known = components?.schemas ?? {}
  const cases = Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods)
      .filter(([method]) => !LEFT_OUT.test(`${method} ${path}`) && !LEFT_OUT.test(path))
      .map(([method, operation]) => caseOf({ path, method, operation, known })),
  )
  return fc.oneof(...cases)
}

function caseOf({
  path,
  method,
  operation: { parameters = [], requestBody },
  known,
}: {
  path: string
  method: string
  operation: Operation
  known: Readonly<Record<string, Schema>>
}): fc.Arbitrary<Case> {
  const schema = Object.values(requestBody?.content ?? {})[0]?.schema
  const given = Object.fromEntries(
    parameters.map((p) => [p.name, near(p.schema ?? {}, known).map((v) => textOf(v))]),
  )
  const places = new Set(parameters.filter((p) => p.in === 'path').map((p) => p.name))
  return fc
    .record({
      parameters: fc.record(given, { requiredKeys: [...places] }),
      body: schema ? near(schema, known) : fc.constant(undefined),
    })
    .map(({ parameters: values, body }) => {
      const query = Object.entries(values).filter(([name]) => !places.has(name))
      const asked = query.map(([name, value]) => `${name}=${encodeURIComponent(value)}`).join('&')
      const filled = path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(values[name] || 'x'))
      const url = asked === '' ? filled : `${filled}?${asked}`
      return { method: method.toUpperCase() as Case['method'], url, ...(body === undefined ? {} : { body }) }
    })
}

function textOf(value: unknown): string {
  const text = typeof value === 'string' ? value : JSON.stringify(value)
  // Half of a pair of surrogates cannot stand in an address.
  return Buffer.from(text, 'utf8').toString('utf8')
}

/** Mostly what the schema takes, and now and then what it does not. */
function near(schema: Schema, known: Readonly<Record<string, Schema>>, depth = 0): fc.Arbitrary<unknown> {
  if (depth > DEEPEST) return ANYTHING
  return fc.oneof({ weight: 9, arbitrary: fitting(schema, known, depth) }, { weight: 1, arbitrary: ANYTHING })
}

function fitting(
  schema: Schema,
  known: Readonly<Record<string, Schema>>,
  depth: number,
): fc.Arbitrary<unknown> {
  const inner = (s: Schema): fc.Arbitrary<unknown> => near(s, known, depth + 1)
  if (schema.$ref) return inner(known[schema.$ref.split('/').at(-1) ?? ''] ?? {})
  if ('const' in schema) return fc.constant(schema.const)
  if (schema.enum) return fc.constantFrom(...schema.enum)
  const choices = schema.anyOf ?? schema.oneOf ?? schema.allOf
  if (choices) return fc.oneof(...choices.map(inner))
  switch (Array.isArray(schema.type) ? schema.type[0] : schema.type) {
    case 'object':
      return objectNear(schema, inner)
    case 'array':
      return fc.array(inner(schema.items ?? {}), { maxLength: 3 })
    case 'integer':
    case 'number':
      return numberNear(schema)
    case 'boolean':
      return fc.boolean()
    case 'null':
      return fc.constant(null)
    case 'string':
      return TEXTS
    default:
      return ANYTHING
  }
}

function objectNear(schema: Schema, inner: (s: Schema) => fc.Arbitrary<unknown>): fc.Arbitrary<unknown> {
  const fields = Object.entries(schema.properties ?? {}).map(([name, s]) => [name, inner(s)] as const)
  const rest = schema.additionalProperties
  const extra =
    typeof rest === 'object' ? fc.dictionary(fc.constantFrom(...WORDS), inner(rest)) : fc.constant({})
  return fc
    .record({
      own: fc.oneof(
        { weight: 4, arbitrary: fc.record(Object.fromEntries(fields)) },
        { weight: 1, arbitrary: fc.record(Object.fromEntries(fields), { requiredKeys: [] }) },
      ),
      extra,
      stray: fc.oneof({ weight: 19, arbitrary: fc.constant({}) }, fc.constant({ stray: 1 })),
    })
    .map(({ own, extra: more, stray }) => ({ ...more, ...own, ...stray }))
}

function numberNear({ minimum, maximum }: Schema): fc.Arbitrary<number> {
  const least = Math.max(minimum ?? -1e15, -1e15)
  const most = Math.min(maximum ?? 1e15, 1e15)
  return fc.oneof(
    fc.integer({ min: Math.ceil(least), max: Math.floor(most) }),
    fc.double({ min: least, max: most, noNaN: true }),
    fc.constantFrom(0, -1, least, most, most + 1, 1e308, 5e-324, 2 ** 53 + 2),
  )
}
