import { randomBytes } from 'node:crypto'
import type { AccountStore, SignInCode } from '../../core/model/ports/accounts.ts'
import { createSecret, sha256 } from './secrets.ts'

/** How long a code works. */
export const CODE_LIFE_MS = 15 * 60_000

/** Digits and letters without I, L, O and U, which are misread (Crockford's base 32): 5 bits each. */
const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'

export interface IssuedCode {
  readonly code: string
  /** Path of the page that uses it. The code stands in the fragment, which browsers send to nobody. */
  readonly path: string
  readonly expiresMs: number
}

/** One-time ways in. Only their SHA-256 is stored; each works once, for 15 minutes. */
export interface SignInCodes {
  /** A code for the first owner, 80 bits in four groups of four to be typed; an earlier one stops working. */
  readonly issueFirstOwnerCode: () => IssuedCode
  /** A link that signs this person in; an earlier one of theirs stops working. */
  readonly issueSignInLink: (personId: string) => IssuedCode
  /** Uses a code up; null if it is unknown, used, too old, or for another purpose. */
  readonly take: (purpose: SignInCode['purpose'], code: string) => SignInCode | null
}

/** `nowMs` is the wall clock: a demo's clock runs fast, and 15 minutes would pass in a second. */
export function createSignInCodes({
  accounts,
  nowMs,
}: {
  readonly accounts: Pick<
    AccountStore,
    'addSignInCode' | 'takeSignInCode' | 'dropSignInCodesOf' | 'dropSignInCodes'
  >
  readonly nowMs: () => number
}): SignInCodes {
  const keep = (purpose: SignInCode['purpose'], personId: string | null, code: string): number => {
    const expiresMs = nowMs() + CODE_LIFE_MS
    accounts.addSignInCode({ codeHash: codeHash(purpose, code), purpose, personId, expiresMs })
    return expiresMs
  }
  return {
    issueFirstOwnerCode: () => {
      accounts.dropSignInCodes('firstOwner')
      const code = createTypedCode()
      return { code, path: `/#first-owner=${code}`, expiresMs: keep('firstOwner', null, code) }
    },
    issueSignInLink: (personId) => {
      accounts.dropSignInCodesOf(personId)
      const code = createSecret()
      return { code, path: `/#sign-in=${code}`, expiresMs: keep('signIn', personId, code) }
    },
    take: (purpose, code) => accounts.takeSignInCode(codeHash(purpose, code), nowMs()),
  }
}

function createTypedCode(): string {
  // 256 is a multiple of 32, so no character comes up more often than another.
  const characters = [...randomBytes(16)].map((byte) => ALPHABET.charAt(byte % ALPHABET.length))
  return [0, 4, 8, 12].map((at) => characters.slice(at, at + 4).join('')).join('-')
}

/** The purpose is hashed too, so that a code for one never opens the other, nor is used up by a wrong try. */
function codeHash(purpose: SignInCode['purpose'], code: string): string {
  return sha256(`${purpose}:${purpose === 'firstOwner' ? asTyped(code) : code}`)
}

/** What people type for what was printed: small letters, spaces, O for 0, I and L for 1. */
function asTyped(code: string): string {
  return code.toUpperCase().replaceAll(/[\s-]/g, '').replaceAll('O', '0').replaceAll(/[IL]/g, '1')
}
