import { createCipheriv, createDecipheriv, createHmac, randomBytes } from 'node:crypto'
import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { dirname, resolve, sep } from 'node:path'
import type { SecretOutcome } from '../core/model/ports/telling.ts'

/**
 * Seals secrets with a key that lies outside the data folder, so that a copy of the data gives nothing away.
 *
 * SEAL-1 AES-256-GCM with a new nonce each time; the name of a secret is bound in, so that one cannot stand for another.
 * SEAL-2 the key file is made at first need with mode 0600, and only where nothing was sealed yet.
 * SEAL-3 a missing, wrong or readable key file is told with its cure; nothing crashes and no secret is in the words.
 */
export interface Sealer {
  readonly seal: (name: string, text: string) => SecretOutcome<string>
  readonly open: (name: string, sealed: string) => SecretOutcome<string>
  /** A key for one use that follows from the file's. */
  readonly derive: (use: string) => SecretOutcome<Buffer>
  /** Makes the file if there is none. */
  readonly makeKey: () => SecretOutcome<null>
  /** What is wrong with the file, or null. A file that is not needed yet is no problem. */
  readonly problem: () => string | null
}

export interface SealerParts {
  readonly keyFile: string
  readonly dataDir: string
  /** Was anything sealed before? Then a missing key file is a trouble, and no new one is made by itself. */
  readonly anythingSealed: () => boolean
}

export function createSealer({ keyFile, dataDir, anythingSealed }: SealerParts): Sealer {
  const path = resolve(keyFile)
  const missing = `NIGHTCAP_KEY_FILE: ${path} is missing, so nothing sealed with it can be read: put it back. If it is lost, set the mail password and webhook secrets anew and renew the push keys, all under Setup`
  const read = (): SecretOutcome<Buffer> => {
    if (path.startsWith(resolve(dataDir) + sep))
      return no(`NIGHTCAP_KEY_FILE: ${path} lies within the data folder: name a place outside it`)
    const found = readKey(path)
    return found.ok && found.value === null ? no(missing) : (found as SecretOutcome<Buffer>)
  }
  const make = (): SecretOutcome<Buffer> => {
    const found = readKey(path)
    if (!found.ok || found.value !== null) return read()
    try {
      mkdirSync(dirname(path), { recursive: true, mode: 0o700 })
      writeFileSync(path, `${randomBytes(32).toString('base64url')}\n`, { mode: 0o600, flag: 'wx' })
    } catch (error) {
      return no(
        `NIGHTCAP_KEY_FILE: ${path} cannot be made (${codeOf(error)}): name a place this user may write`,
      )
    }
    return read()
  }
  const needed = (): SecretOutcome<Buffer> => (anythingSealed() ? read() : make())
  return {
    makeKey: () => {
      const key = make()
      return key.ok ? { ok: true, value: null } : key
    },
    derive: (use) => {
      const key = needed()
      return key.ok ? { ok: true, value: createHmac('sha256', key.value).update(use).digest() } : key
    },
    seal: (name, text) => {
      const key = make()
      return key.ok ? { ok: true, value: sealText(key.value, name, text) } : key
    },
    open: (name, sealed) => {
      const key = read()
      if (!key.ok) return key
      const text = openText(key.value, name, sealed)
      return text === null
        ? no(
            `NIGHTCAP_KEY_FILE: ${path} is not the key that ${name} was sealed with: put the right file there, or set ${name} anew under Setup`,
          )
        : { ok: true, value: text }
    },
    problem: () => {
      if (!anythingSealed()) return null
      const key = read()
      return key.ok ? null : key.reason
    },
  }
}

const no = (reason: string): { ok: false; reason: string } => ({ ok: false, reason })
const codeOf = (error: unknown): string => {
  const { code } = error as { code?: unknown }
  return typeof code === 'string' ? code : 'unknown'
}

function readKey(path: string): SecretOutcome<Buffer | null> {
  try {
    const key = Buffer.from(readFileSync(path, 'utf8').trim(), 'base64url')
    if ((statSync(path).mode & 0o077) !== 0)
      return no(`NIGHTCAP_KEY_FILE: ${path} can be read by other users: chmod 600 ${path}`)
    return key.length === 32
      ? { ok: true, value: key }
      : no(`NIGHTCAP_KEY_FILE: ${path} holds no key: put the right file back`)
  } catch (error) {
    return codeOf(error) === 'ENOENT'
      ? { ok: true, value: null }
      : no(`NIGHTCAP_KEY_FILE: ${path} cannot be read (${codeOf(error)}): let this user read it`)
  }
}

function sealText(key: Buffer, name: string, text: string): string {
  const nonce = randomBytes(12)
  const cipher = createCipheriv('aes-256-gcm', key, nonce).setAAD(Buffer.from(name))
  const body = Buffer.concat([cipher.update(text, 'utf8'), cipher.final()])
  return ['v1', ...[nonce, cipher.getAuthTag(), body].map((b) => b.toString('base64url'))].join('.')
}

function openText(key: Buffer, name: string, sealed: string): string | null {
  const [version, ...parts] = sealed.split('.')
  const [nonce, tag, body] = parts.map((p) => Buffer.from(p, 'base64url'))
  if (version !== 'v1' || nonce?.length !== 12 || tag?.length !== 16 || !body) return null
  try {
    const decipher = createDecipheriv('aes-256-gcm', key, nonce, { authTagLength: 16 })
    decipher.setAAD(Buffer.from(name)).setAuthTag(tag)
    return Buffer.concat([decipher.update(body), decipher.final()]).toString('utf8')
  } catch {
    return null
  }
}
