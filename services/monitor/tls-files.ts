import { createPrivateKey, X509Certificate } from 'node:crypto'
import { readFileSync } from 'node:fs'

/** Where a certificate chain and its key lie, both PEM. */
export interface TlsFiles {
  readonly certFile: string
  readonly keyFile: string
}

export interface TlsMaterial {
  readonly cert: Buffer
  readonly key: Buffer
  /** When the first certificate of the file ends, ms since 1970. */
  readonly endsMs: number
}

/** A certificate or its key cannot be used. The message names the file and the cure, never what is in it. */
export class TlsFilesError extends Error {
  override readonly name = 'TlsFilesError'
  readonly code = 'TLS_FILES'
}

/**
 * Reads a certificate and its key, and sees that they belong together.
 *
 * @throws {TlsFilesError} if one cannot be read, is no PEM, or they do not match.
 */
export function loadTls({ certFile, keyFile }: TlsFiles): TlsMaterial {
  const [cert, key] = [read(certFile), read(keyFile)]
  const certificate = parsed(certFile, 'a certificate', () => new X509Certificate(cert))
  const privateKey = parsed(keyFile, 'a key without a passphrase', () => createPrivateKey(key))
  if (!certificate.checkPrivateKey(privateKey)) {
    throw new TlsFilesError(
      `${keyFile} is not the key to ${certFile}: give the pair that was issued together`,
    )
  }
  return { cert, key, endsMs: Date.parse(certificate.validTo) }
}

function read(file: string): Buffer {
  try {
    return readFileSync(file)
  } catch (cause) {
    throw new TlsFilesError(`${file} cannot be read: see that it exists and that this user may read it`, {
      cause,
    })
  }
}

function parsed<T>(file: string, what: string, parse: () => T): T {
  try {
    return parse()
  } catch (cause) {
    throw new TlsFilesError(`${file} does not hold ${what} in PEM form: give another file`, { cause })
  }
}
