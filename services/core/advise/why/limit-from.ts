import { limitsSchema, type Limits } from '../../model/settings.ts'

export const STARTING_VALUE = 'Starting value (common practice, no source).'
export const SET_BY_OWNER = 'Set by the owner.'

const STARTING_LIMITS = limitsSchema.parse({})

/** Where the limits come from that a rule rests on: all still as they were to begin with, or not. */
export function limitFrom(limits: Limits, pick: (limits: Limits) => unknown): string {
  return isSame(pick(limits), pick(STARTING_LIMITS)) ? STARTING_VALUE : SET_BY_OWNER
}

function isSame(a: unknown, b: unknown): boolean {
  if (!isRecord(a) || !isRecord(b)) return a === b
  const keys = Object.keys(a)
  return keys.length === Object.keys(b).length && keys.every((key) => isSame(a[key], b[key]))
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null
}
