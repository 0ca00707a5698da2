import { hash, verify } from '@node-rs/argon2'

/** argon2 takes 19 MiB and a core for each password: more than two at a time would starve the monitor. */
const AT_ONCE = 2
/** Whoever finds this many waiting is told to come back. Starting value. */
const MOST_WAITING = 20

export const MIN_PASSWORD_LENGTH = 10
export const MAX_PASSWORD_LENGTH = 200

/** Too many passwords are being checked: nothing was judged, try again shortly. */
export class PasswordsBusyError extends Error {
  override readonly name = 'PasswordsBusyError'
  readonly code = 'PASSWORDS_BUSY'
}

export interface Passwords {
  /** argon2id with a salt of its own, as a PHC text. @throws {PasswordsBusyError} */
  readonly hash: (password: string) => Promise<string>
  /** Does it match? With no hash (an unknown name) the same work is done, and the answer is no. @throws {PasswordsBusyError} */
  readonly verify: (passwordHash: string | null, password: string) => Promise<boolean>
}

/** Hashes and checks passwords, at most two at a time, the rest in a short line. */
export function createPasswords(): Passwords {
  const waiting: (() => void)[] = []
  let running = 0
  // A hash that no password matches, made at the first need, so that an unknown name costs what a known one does.
  let nobody: Promise<string> | null = null

  async function inTurn<T>(work: () => Promise<T>): Promise<T> {
    if (running >= AT_ONCE) {
      if (waiting.length >= MOST_WAITING) throw new PasswordsBusyError('too many passwords are being checked')
      await new Promise<void>((resolve) => waiting.push(resolve))
    } else running++
    try {
      return await work()
    } finally {
      // The place is handed on, not freed: a newcomer cannot slip in between.
      const next = waiting.shift()
      if (next) next()
      else running--
    }
  }

  return {
    hash: (password) => inTurn(() => hash(canonical(password))),
    verify: async (passwordHash, password) => {
      nobody ??= hash('nobody has this password')
      const stored = passwordHash ?? (await nobody)
      const matches = await inTurn(() => verify(stored, canonical(password)))
      return matches && passwordHash !== null
    },
  }
}

/** One form for letters that keyboards send in two (RFC 8265 section 4.2, OpaqueString: NFC). */
function canonical(password: string): string {
  return password.normalize('NFC')
}
