import { createHash, randomBytes } from 'node:crypto'

/** A new secret: 256 random bits as 43 characters of base64url. Shown once, never stored. */
export function createSecret(): string {
  return randomBytes(32).toString('base64url')
}

/** What is stored of a secret: its SHA-256 in hex. 256 random bits need no slow hash. */
export function sha256(secret: string): string {
  return createHash('sha256').update(secret, 'utf8').digest('hex')
}

/** An id that says nothing of whom it stands for, such as `person-3f9a0c417be2`. */
export function createId(
  kind: 'person' | 'program' | 'calendar' | 'disposal' | 'check' | 'care' | 'note' | 'head',
): string {
  return `${kind}-${randomBytes(6).toString('hex')}`
}
