import type { HeartbeatPlace } from './config.ts'
import { readSecret } from './read-config.ts'

/** The address for signs of life cannot be used. The message names the variable and the cure, never the address: it is a secret. */
export class HeartbeatAddressError extends Error {
  override readonly name = 'HeartbeatAddressError'
  readonly code = 'HEARTBEAT_ADDRESS'
}

/**
 * Where signs of life go. One that stands in a file is held to what the configuration asks of one that is given directly.
 *
 * @throws {SecretFileError} if the file cannot be read.
 * @throws {HeartbeatAddressError} if what it holds is no address, or would cross the network in the clear.
 */
export function heartbeatAddress({ url: secret, allowPrivate }: HeartbeatPlace): string {
  const address = readSecret(secret)
  const protocol = URL.canParse(address) ? new URL(address).protocol : ''
  if (protocol === 'https:' || (protocol === 'http:' && allowPrivate)) return address
  const place =
    secret.file === null ? 'NIGHTCAP_HEARTBEAT_URL' : `NIGHTCAP_HEARTBEAT_URL_FILE: ${secret.file}`
  throw new HeartbeatAddressError(
    protocol === 'http:'
      ? `${place}: it would cross the network in the clear. Use https://, or set NIGHTCAP_HEARTBEAT_PRIVATE=yes`
      : `${place}: holds no address: write one line that begins with https://`,
  )
}
