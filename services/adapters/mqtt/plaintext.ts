/** MQTT without encryption was asked for beyond this computer, and nobody said that this is meant. */
export class PlaintextRefusedError extends Error {
  override readonly name = 'PlaintextRefusedError'
  readonly code = 'PLAINTEXT_REFUSED'
}

/** Is it this computer alone that can reach the host? */
export function isLoopbackHost(host: string): boolean {
  const bare = host.replace(/^\[(.*)\]$/, '$1').toLowerCase()
  return bare === 'localhost' || bare === '::1' || /^127(\.\d{1,3}){3}$/.test(bare)
}

export interface Exposure {
  readonly host: string
  readonly encrypted: boolean
  /** The owner's word that secrets may cross the network in the clear. */
  readonly allowPlaintext: boolean
}

/**
 * The warning that must stay visible where MQTT crosses a network in the clear, or null.
 *
 * @throws {PlaintextRefusedError} if it would, and nobody allowed it.
 */
export function plaintextWarning({ host, encrypted, allowPlaintext }: Exposure): string | null {
  if (encrypted || isLoopbackHost(host)) return null
  if (allowPlaintext)
    return `MQTT at ${host} is not encrypted: anyone on that network can read secrets and speak as a node`
  throw new PlaintextRefusedError(
    `MQTT at ${host} would not be encrypted: give a certificate (mqtts), stay on 127.0.0.1, or allow plaintext knowingly`,
  )
}
