/** Who wanted to reach what; never holds the secret. */
export interface Attempt {
  readonly url: string
  readonly node: string
}

/** CONNACK return codes of MQTT 3.1.1, table 3.1. */
const CONNACK: Readonly<Record<number, (attempt: Attempt) => string>> = {
  1: () => 'the broker does not speak MQTT 3.1.1: use another broker',
  2: ({ node }) => `the broker refuses the client id ${node}: is another node of this name connected?`,
  3: () => 'the broker is not ready: wait',
  4: secretRefused,
  5: secretRefused,
}

/** One line on why a connection failed, with the cure. */
export function connectionFailure(error: unknown, attempt: Attempt): string {
  const code: unknown = error instanceof Error && 'code' in error ? error.code : undefined
  if (typeof code === 'number' && CONNACK[code]) return CONNACK[code](attempt)
  const at = shownAddress(attempt.url)
  if (typeof code !== 'string') {
    return error instanceof Error && error.message !== ''
      ? `no connection to ${at}: ${error.message.split('\n')[0] ?? ''}`
      : `the broker at ${at} closed the connection: look into its log`
  }
  if (code.includes('ALTNAME')) {
    return `the certificate of ${at} is for another name: use that name in broker.url, or make a certificate for this one`
  }
  if (code === 'CERT_HAS_EXPIRED') return `the certificate of ${at} has expired: make a new one`
  if (code === 'CERT_NOT_YET_VALID')
    return `the certificate of ${at} is not valid yet: is the clock of this computer right?`
  if (/CERT|SIGNATURE/.test(code)) {
    return `the certificate of ${at} was not made by the trusted authority: put the right one into broker.caFile`
  }
  if (/^(ERR_SSL|EPROTO)/.test(code))
    return `${at} does not speak TLS as expected: check mqtts:// and the port`
  return `no broker answers at ${at} (${code}): check broker.url, the network, and that the monitor runs`
}

function secretRefused({ node }: Attempt): string {
  return `the broker refuses the secret of node ${node}: make a new one for it on the board, and put it into broker.secretFile`
}

/** Host and port alone: a URL might hold a password. */
function shownAddress(url: string): string {
  const { protocol, host } = new URL(url)
  return `${protocol}//${host}`
}
