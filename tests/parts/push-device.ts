import type { ECDH } from 'node:crypto'
import { createRequire } from 'node:module'

interface Decrypter {
  decrypt: (body: Buffer, params: { version: string; privateKey: ECDH; authSecret: string }) => Buffer
}
const ece = createRequire(import.meta.url)('http_ece') as Decrypter

/** What a browser reads of a push message (RFC 8291), by a library that is not the sender's. */
export function decryptPush(body: Buffer, { device, auth }: { device: ECDH; auth: string }): Buffer {
  return ece.decrypt(body, { version: 'aes128gcm', privateKey: device, authSecret: auth })
}
