import { timingSafeEqual } from 'node:crypto'
import type { Credential } from '../core/model/ports/accounts.ts'
import { sha256 } from '../web/auth/secrets.ts'

/**
 * Does this secret belong to the credential? Secrets are 256 random bits, so one SHA-256 is enough: there is nothing
 * to guess. Compared in constant time.
 */
export function matchesSecret(
  credential: Pick<Credential, 'secretHash' | 'revokedMs'> | null,
  secret: string,
): boolean {
  const given = Buffer.from(sha256(secret), 'hex')
  const kept = Buffer.from(credential?.secretHash ?? '', 'hex')
  return credential?.revokedMs === null && kept.length === given.length && timingSafeEqual(kept, given)
}
