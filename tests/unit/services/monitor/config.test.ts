import { describe, expect, it } from 'vitest'
import { isLoopback, parseConfig } from '../../../../services/monitor/config.ts'
import { ENVIRONMENT } from '../../../../services/monitor/environment.ts'

const problemsOf = (environment: Record<string, string>): string => {
  const outcome = parseConfig(environment)
  return outcome.ok ? '' : outcome.problems.join('\n')
}

describe('configuration', () => {
  it('an empty environment listens on this computer only', () => {
    expect(parseConfig({})).toMatchObject({
      ok: true,
      config: {
        http: { host: '127.0.0.1', port: 8080 },
        broker: { kind: 'embedded', host: '127.0.0.1', port: 1883, tls: null },

        influx: null,
        plaintextBeyondLoopback: false,
      },
    })
  })
  it.each([
    [{ NIGHTCAP_HTTP_PROT: '80' }, /NIGHTCAP_HTTP_PROT: there is no such variable/],
    [{ NIGHTCAP_HTTP_PORT: 'eighty' }, /NIGHTCAP_HTTP_PORT: give a port/],
    [{ NIGHTCAP_MQTT_PORT: '70000' }, /NIGHTCAP_MQTT_PORT: give a port from 0 to 65535/],
    [{ NIGHTCAP_MQTT_URL: 'broker.local' }, /NIGHTCAP_MQTT_URL: write an address that begins with mqtt:\/\//],
    [{ NIGHTCAP_MQTT_HOST: '0.0.0.0' }, /in the clear.*NIGHTCAP_ALLOW_PLAINTEXT=yes/],
    [{ NIGHTCAP_MQTT_TLS_CERT_FILE: '/c.pem' }, /certificate and its key go together/],
    [{ NIGHTCAP_HTTP_TLS_KEY_FILE: '/k.pem' }, /NIGHTCAP_HTTP_TLS_CERT_FILE.*go together/],
    [{ NIGHTCAP_ALLOW_PLAINTEXT: 'true' }, /NIGHTCAP_ALLOW_PLAINTEXT: write yes or no/],
    [{ NIGHTCAP_INFLUX_URL: 'influx.local' }, /NIGHTCAP_INFLUX_URL: write an address that begins with http/],
    [
      { NIGHTCAP_INFLUX_URL: 'http://10.0.0.9:8086', NIGHTCAP_INFLUX_TOKEN: 't' },
      /NIGHTCAP_INFLUX_URL: the token would cross the network in the clear/,
    ],
    [{ NIGHTCAP_INFLUX_URL: 'https://influx.local' }, /NIGHTCAP_INFLUX_TOKEN: InfluxDB wants a token/],
    [{ NIGHTCAP_HISTORY_FROM: 'influx' }, /NIGHTCAP_HISTORY_FROM: there is no InfluxDB to ask/],
    [{ NIGHTCAP_LOG_LEVEL: 'loud' }, /NIGHTCAP_LOG_LEVEL: write error, warn, info or debug/],
  ])('%j is refused, naming the variable and the cure', (environment, expected) => {
    expect(problemsOf(environment)).toMatch(expected)
  })
  it('plaintext beyond this computer needs the flag, and stays on record', () => {
    const allowed = parseConfig({ NIGHTCAP_MQTT_HOST: '0.0.0.0', NIGHTCAP_ALLOW_PLAINTEXT: 'yes' })
    expect(allowed).toMatchObject({ ok: true, config: { plaintextBeyondLoopback: true } })
  })
  it('variables of the node and of the tests are not taken for misspelt ones', () => {
    expect(problemsOf({ NIGHTCAP_NODE_SECRET: 'x', NIGHTCAP_TEST_INFLUX_URL: 'x' })).toBe('')
  })
  it('every variable says what it is for', () => {
    for (const { name, meaning } of ENVIRONMENT) expect([name, meaning.length > 10]).toEqual([name, true])
  })
  it.each([
    ['127.0.0.1', true],
    ['127.9.9.9', true],
    ['::1', true],
    ['localhost', true],
    ['0.0.0.0', false],
    ['10.0.0.1', false],
    ['127.0.0.1.example', false],
  ])('%s is loopback: %s', (host, expected) => expect(isLoopback(host)).toBe(expected))
})
