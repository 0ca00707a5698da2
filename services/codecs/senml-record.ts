/**
 * SenML JSON as of RFC 8428: the record with its labels (section 4.3, 5), and what a record means once base fields
 * and relative time are worked out (section 4.6).
 */
export interface SenmlRecord {
  readonly bn?: string
  /** Seconds. */
  readonly bt?: number
  readonly bu?: string
  readonly bv?: number
  readonly bs?: number
  readonly bver?: number
  readonly n?: string
  readonly u?: string
  readonly v?: number
  readonly vs?: string
  readonly vb?: boolean
  /** base64url without padding. */
  readonly vd?: string
  readonly s?: number
  /** Seconds: below 2^28 counted from now, else since 1970. */
  readonly t?: number
  /** The longest time in seconds before the next value of this name. */
  readonly ut?: number
}

export type SenmlPack = readonly SenmlRecord[]

export type SenmlValue =
  | { readonly kind: 'number'; readonly v: number }
  | { readonly kind: 'boolean'; readonly v: boolean }
  | { readonly kind: 'string'; readonly v: string }
  /** Still base64url text. */
  | { readonly kind: 'data'; readonly v: string }
  /** A record that carries a sum and no value: `v` is that sum. */
  | { readonly kind: 'sum'; readonly v: number }

export interface ResolvedRecord {
  readonly name: string
  /** As sent; `normaliseUnit` turns secondary units into primary ones. */
  readonly unit?: string
  /** Whole ms since 1970. */
  readonly atMs: number
  readonly value: SenmlValue
  /** Integral over time, in unit seconds. */
  readonly sum?: number
  readonly updateWithinS?: number
}

export type SenmlResult =
  | { readonly ok: true; readonly records: readonly ResolvedRecord[] }
  /** `field` names the place as in `[3].u`, the whole payload as ''; `reason` says what is wrong and the cure. */
  | { readonly ok: false; readonly reason: string; readonly field: string }
