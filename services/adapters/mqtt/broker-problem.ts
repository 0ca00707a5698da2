interface Failure {
  readonly message: string
  /** A reason code of CONNACK: MQTT 5 section 3.2.2.2, or 3.1.1 table 3.1. */
  readonly code?: number | string | undefined
}

const CURES: readonly [codes: readonly (number | string)[], text: string][] = [
  // Some brokers say "not authorised" to a wrong password, too.
  [
    [4, 5, 134, 135],
    'the broker refuses the user name or password: correct them, or add the user at the broker',
  ],
  [[2, 133], 'the broker refuses the client id: allow client ids that begin with nightcap- for this user'],
  [[3, 136, 137], 'the broker says that it cannot serve now: look at its log'],
  [['ECONNREFUSED'], 'nothing answers there: start the broker, or correct host and port'],
  [['ENOTFOUND', 'EAI_AGAIN'], 'that host name is not known here: correct it'],
  [
    ['ETIMEDOUT', 'EHOSTUNREACH', 'ENETUNREACH'],
    'the broker cannot be reached: check the network and its firewall',
  ],
  [
    [
      'DEPTH_ZERO_SELF_SIGNED_CERT',
      'SELF_SIGNED_CERT_IN_CHAIN',
      'UNABLE_TO_VERIFY_LEAF_SIGNATURE',
      'UNABLE_TO_GET_ISSUER_CERT_LOCALLY',
    ],
    'the broker shows a certificate of an authority that is not known here: give the file of that authority',
  ],
  [
    ['ERR_TLS_CERT_ALTNAME_INVALID'],
    'the certificate of the broker is for another host name: use that name in the address',
  ],
  [['CERT_HAS_EXPIRED'], 'the certificate of the broker has expired: renew it there'],
]

/** What keeps us from the broker, and the cure. */
export function brokerProblem(address: string, { code, message }: Failure): string {
  const known = CURES.find(([codes]) => code !== undefined && codes.includes(code))
  return `MQTT broker ${address}: ${known ? known[1] : `${message.slice(0, 200)}; trying again`}`
}

/** Does the broker speak no MQTT 5? MQTT 5 section 3.1.2.2; a 3.1.1 broker says 1. */
export function speaksOnly311({ code }: Failure): boolean {
  return code === 1 || code === 132
}
