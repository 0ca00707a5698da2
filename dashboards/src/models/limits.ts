import type { Settings } from '../../../services/core/model/settings.ts'

type Holder = Readonly<Record<string, unknown>>

/** A limit by its path in `settings.limits`, dots between the parts; undefined where no number stands. */
export function limitOf(settings: Settings, path: string): number | undefined {
  const found = path
    .split('.')
    .reduce<unknown>((holder, part) => (isHolder(holder) ? holder[part] : undefined), settings.limits)
  return typeof found === 'number' ? found : undefined
}

/** LIMIT-1 the settings with that one limit changed, and nothing else; the old ones stay as they were. */
export function withLimit(settings: Settings, path: string, value: number): Settings {
  const isWhole = path.endsWith('Ms')
  const next = put(settings.limits, path.split('.'), isWhole ? Math.round(value) : value)
  return { ...settings, limits: next }
}

export function limitPointer(path: string): string {
  return `/limits/${path.replaceAll('.', '/')}`
}

/** Where a limit is tried on the stored past. */
export function rerunHash(path: string, value: number): string {
  return `#/rerun?limit=${encodeURIComponent(path)}&value=${value}`
}

function put<T extends object>(holder: T, [key = '', ...rest]: readonly string[], value: number): T {
  const inner = (holder as Holder)[key]
  return { ...holder, [key]: rest.length > 0 && isHolder(inner) ? put(inner, rest, value) : value }
}

function isHolder(value: unknown): value is Holder {
  return typeof value === 'object' && value !== null
}
