import { createHash } from 'node:crypto'
import type { Settings } from '../core/model/settings.ts'

/** Names these very settings, as an entity tag (RFC 9110 section 8.8.3): the same settings have the same. */
export function settingsVersion(settings: Settings): string {
  return `"${createHash('sha256').update(JSON.stringify(settings)).digest('base64url').slice(0, 22)}"`
}

/**
 * May a change go ahead that was made from the settings which `ifMatch` names (RFC 9110 section 13.1.1)? Without the
 * header it may: programs that set up a shop as a whole need not read it first.
 */
export function isVersionOf(ifMatch: string | undefined, settings: Settings): boolean {
  if (ifMatch === undefined || ifMatch.trim() === '*') return true
  return ifMatch
    .split(',')
    .map((tag) => tag.trim())
    .includes(settingsVersion(settings))
}
