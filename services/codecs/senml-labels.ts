/** The labels of one record with their types checked, before base fields are worked in. */
export interface Labels {
  bn: string | undefined
  bt: number | undefined
  bu: string | undefined
  bv: number | undefined
  bs: number | undefined
  bver: number | undefined
  n: string | undefined
  u: string | undefined
  v: number | undefined
  vs: string | undefined
  vb: boolean | undefined
  vd: string | undefined
  s: number | undefined
  t: number | undefined
  ut: number | undefined
  /** How many of v, vs, vb, vd there are. */
  values: number
  /** Is there any base field, and any of the record's own? */
  hasBase: boolean
  hasOwn: boolean
}

export interface LabelRefusal {
  readonly label: string
  readonly reason: string
}

/** RFC 4648 section 5, no padding; a length of 1 modulo 4 cannot come from whole bytes. */
const BASE64URL = /^(?:[A-Za-z0-9_-]{4})*(?:[A-Za-z0-9_-]{2,3})?$/

/**
 * Hand-written for speed: packs come by the thousand a second. Unknown labels are passed over, save those that end
 * in `_`, which must be understood or refused (RFC 8428 section 4.4).
 */
export function readLabels(record: unknown): Labels | LabelRefusal {
  if (typeof record !== 'object' || record === null || Array.isArray(record)) {
    return refuse('', 'the record is not an object: put its fields between { and }')
  }
  const labels = emptyLabels()
  const fields = record as Readonly<Record<string, unknown>>
  for (const label of Object.keys(fields)) {
    const wrong = takeLabel(labels, label, fields[label])
    if (wrong) return wrong
  }
  return labels
}

function takeLabel(labels: Labels, label: string, value: unknown): LabelRefusal | null {
  switch (label) {
    case 'n':
    case 'u':
    case 'vs':
    case 'vd':
    case 'bn':
    case 'bu':
      return takeText(labels, label, value)
    case 'v':
    case 's':
    case 't':
    case 'ut':
    case 'bt':
    case 'bv':
    case 'bs':
    case 'bver':
      return takeNumber(labels, label, value)
    case 'vb':
      if (typeof value !== 'boolean') return refuse(label, 'vb is not true or false: send one without quotes')
      labels.vb = value
      labels.values++
      labels.hasOwn = true
      return null
    default:
      return label.endsWith('_')
        ? refuse(
            label.slice(0, 40),
            'a field that ends in _ must be understood, and this one is not: leave it out',
          )
        : null
  }
}

type TextLabel = 'n' | 'u' | 'vs' | 'vd' | 'bn' | 'bu'

function takeText(labels: Labels, label: TextLabel, value: unknown): LabelRefusal | null {
  if (typeof value !== 'string') return refuse(label, `${label} is not text: put it between quotes`)
  if (label === 'vd' && !BASE64URL.test(value)) {
    return refuse(label, 'vd is not base64url without padding: encode the bytes so')
  }
  labels[label] = value
  if (label === 'vs' || label === 'vd') labels.values++
  if (label === 'bn' || label === 'bu') labels.hasBase = true
  else labels.hasOwn = true
  return null
}

type NumberLabel = 'v' | 's' | 't' | 'ut' | 'bt' | 'bv' | 'bs' | 'bver'

function takeNumber(labels: Labels, label: NumberLabel, value: unknown): LabelRefusal | null {
  if (typeof value !== 'number') return refuse(label, `${label} is not a number: send one without quotes`)
  // JSON.parse reads 1e999 as Infinity.
  if (!Number.isFinite(value)) return refuse(label, `${label} is too large for a number: send a smaller one`)
  if (label === 'ut' && value < 0) return refuse(label, 'ut is below 0: send the seconds to the next value')
  if (label === 'bver' && !(Number.isInteger(value) && value > 0)) {
    return refuse(label, 'bver is not a whole number above 0: send 10, or leave it out')
  }
  labels[label] = value
  if (label === 'v') labels.values++
  if (label === 'v' || label === 's' || label === 't' || label === 'ut') labels.hasOwn = true
  else labels.hasBase = true
  return null
}

function refuse(label: string, reason: string): LabelRefusal {
  return { label, reason }
}

/** All members from the start, so that every record has one hidden class. */
function emptyLabels(): Labels {
  return {
    bn: undefined,
    bt: undefined,
    bu: undefined,
    bv: undefined,
    bs: undefined,
    bver: undefined,
    n: undefined,
    u: undefined,
    v: undefined,
    vs: undefined,
    vb: undefined,
    vd: undefined,
    s: undefined,
    t: undefined,
    ut: undefined,
    values: 0,
    hasBase: false,
    hasOwn: false,
  }
}
