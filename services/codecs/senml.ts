import { readLabels, type Labels } from './senml-labels.ts'
import type { ResolvedRecord, SenmlPack, SenmlResult, SenmlValue } from './senml-record.ts'

export type { ResolvedRecord, SenmlPack, SenmlRecord, SenmlResult, SenmlValue } from './senml-record.ts'

/** RFC 8428 section 4.5.3: times below this are relative to now. */
export const RELATIVE_BELOW_S = 2 ** 28
/** RFC 8428 section 4.4: the version that this codec understands, and the one meant when none is given. */
const VERSION = 10
/** The last moment that a Date can hold (ECMAScript: 8.64e15 ms); also below 2^53, so ms stay whole. */
const LAST_MS = 8.64e15

/** Base fields in force (section 4.1): each stands until a later record gives another. */
interface Bases {
  name: string
  timeS: number
  unit: string | undefined
  value: number | undefined
  sum: number | undefined
  version: number
}

class Refusal {
  readonly label: string
  readonly reason: string
  constructor(label: string, reason: string) {
    this.label = label
    this.reason = reason
  }
}

/**
 * Reads a SenML JSON pack: text, or what `JSON.parse` made of it. Gives its records in the order of the pack, with
 * base fields and relative time worked out against `nowMs`. One wrong record refuses the whole pack, for nobody can
 * tell what else its sender got wrong. Never throws, whatever it is given. Units are the receiver's to judge.
 *
 * A record of base fields alone is a heading: it measures nothing (example 9 of the working group).
 *
 * @example parseSenml('[{"n":"desk/air","u":"%RH","v":41}]', { nowMs: 1_764_000_000_000 })
 */
export function parseSenml(input: unknown, { nowMs }: { nowMs: number }): SenmlResult {
  const pack = typeof input === 'string' ? fromText(input) : input
  if (pack === NOT_JSON) return refused('', 'the payload is not JSON: send one array of SenML records')
  if (!Array.isArray(pack)) return refused('', 'the payload is not an array: put the records between [ and ]')
  if (pack.length === 0) return refused('', 'the pack is empty: send at least one record')

  const bases: Bases = { name: '', timeS: 0, unit: undefined, value: undefined, sum: undefined, version: 0 }
  const records: ResolvedRecord[] = []
  for (let i = 0; i < pack.length; i++) {
    const labels = readLabels(pack[i])
    if ('reason' in labels) return refused(fieldOf(i, labels.label), labels.reason)
    const record = resolve(labels, bases, nowMs)
    if (record instanceof Refusal) return refused(fieldOf(i, record.label), record.reason)
    if (record) records.push(record)
  }
  return { ok: true, records }
}

/**
 * The JSON text of a pack.
 *
 * @throws {RangeError} if a number in it is NaN or infinite: JSON would write `null`.
 */
export function toSenmlJson(pack: SenmlPack): string {
  return JSON.stringify(pack, (label, value: unknown) => {
    if (typeof value === 'number' && !Number.isFinite(value)) {
      throw new RangeError(`SenML cannot hold ${value} in ${label}`)
    }
    return value
  })
}

const NOT_JSON = Symbol('not JSON')

function fromText(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return NOT_JSON
  }
}

function refused(field: string, reason: string): SenmlResult {
  return { ok: false, reason, field }
}

function fieldOf(index: number, label: string): string {
  return label === '' ? `[${index}]` : `[${index}].${label}`
}

/** Takes the record's bases into force, then works the record out. Null for a heading. */
function resolve(labels: Labels, bases: Bases, nowMs: number): ResolvedRecord | Refusal | null {
  const wrongVersion = adoptBases(labels, bases)
  if (wrongVersion) return wrongVersion
  if (!labels.hasOwn)
    return labels.hasBase ? null : new Refusal('', 'the record says nothing: give a name and a value')
  const name = bases.name + (labels.n ?? '')
  const wrongName = whyNotName(name, labels.n !== undefined)
  if (wrongName) return wrongName
  const atMs = toAtMs(bases.timeS + (labels.t ?? 0), nowMs)
  if (atMs === null) return new Refusal('t', 'the time is beyond every calendar: send seconds since 1970')

  const sum = labels.s === undefined ? bases.sum : (bases.sum ?? 0) + labels.s
  if (sum !== undefined && !Number.isFinite(sum))
    return new Refusal('s', 'the sum is too large for a number: lower s or bs')
  const value = toValue(labels, bases, sum)
  if (value instanceof Refusal) return value
  const unit = labels.u ?? bases.unit
  return {
    name,
    ...(unit === undefined ? undefined : { unit }),
    atMs,
    value,
    ...(sum === undefined ? undefined : { sum }),
    ...(labels.ut === undefined ? undefined : { updateWithinS: labels.ut }),
  }
}

function adoptBases(labels: Labels, bases: Bases): Refusal | null {
  const version = labels.bver ?? (bases.version || VERSION)
  if (version > VERSION)
    return new Refusal('bver', `version ${version} is not understood: send version ${VERSION}`)
  if (bases.version !== 0 && version !== bases.version)
    return new Refusal('bver', 'records of one pack have one version: give bver in the first record only')
  bases.version = version
  if (labels.bn !== undefined) bases.name = labels.bn
  if (labels.bt !== undefined) bases.timeS = labels.bt
  if (labels.bu !== undefined) bases.unit = labels.bu
  if (labels.bv !== undefined) bases.value = labels.bv
  if (labels.bs !== undefined) bases.sum = labels.bs
  return null
}

/** RFC 8428 section 4.5.1. */
const NAME = /^[A-Za-z0-9][A-Za-z0-9:./_-]*$/

function whyNotName(name: string, hasN: boolean): Refusal | null {
  if (NAME.test(name)) return null
  const label = hasN ? 'n' : 'bn'
  if (name === '') return new Refusal('n', 'the record has no name: give n, or bn before it')
  return new Refusal(
    label,
    'a name is letters, digits and - : . / _ and begins with a letter or digit: rename it',
  )
}

function toAtMs(timeS: number, nowMs: number): number | null {
  const ms = timeS < RELATIVE_BELOW_S ? nowMs + timeS * 1000 : timeS * 1000
  return Math.abs(ms) <= LAST_MS ? Math.round(ms) : null
}

/** Section 4.2: one value, or none where there is a sum. Section 4.5.4: a missing v counts as 0 where bv is in force. */
function toValue(labels: Labels, bases: Bases, sum: number | undefined): SenmlValue | Refusal {
  if (labels.values > 1) return new Refusal('', 'the record has several values: keep one of v, vs, vb, vd')
  if (labels.vb !== undefined) return { kind: 'boolean', v: labels.vb }
  if (labels.vs !== undefined) return { kind: 'string', v: labels.vs }
  if (labels.vd !== undefined) return { kind: 'data', v: labels.vd }
  if (labels.v !== undefined || bases.value !== undefined) {
    const v = (bases.value ?? 0) + (labels.v ?? 0)
    return Number.isFinite(v)
      ? { kind: 'number', v }
      : new Refusal('v', 'the value is too large for a number: lower v or bv')
  }
  if (sum !== undefined) return { kind: 'sum', v: sum }
  return new Refusal('', 'the record has no value: give one of v, vs, vb, vd, or a sum s')
}
