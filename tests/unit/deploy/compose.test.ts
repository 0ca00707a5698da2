import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { parseConfig } from '../../../services/monitor/config.ts'
import { ENVIRONMENT } from '../../../services/monitor/environment.ts'

interface Service {
  image?: string
  build?: { context: string; dockerfile: string }
  environment?: Record<string, string>
  healthcheck?: { test: string[] }
  volumes?: string[]
  ports?: string[]
  secrets?: (string | { source: string; target: string })[]
  read_only?: boolean
  cap_drop?: string[]
  security_opt?: string[]
  stop_grace_period?: string
}
const compose = parse(readFileSync('docker-compose.yml', 'utf8')) as {
  services: Record<string, Service>
  volumes: Record<string, unknown>
  secrets: Record<string, { file: string }>
}
const services = Object.entries(compose.services)

describe('docker-compose.yml', () => {
  it('has the broker, the history store and the monitor', () => {
    expect(Object.keys(compose.services).sort()).toEqual(['influxdb', 'monitor', 'mosquitto'])
  })
  it('passes only variables that the configuration knows, with values that it takes', () => {
    const given = compose.services['monitor']?.environment ?? {}
    const known = new Set<string>(ENVIRONMENT.map((v) => v.name))
    expect(Object.keys(given).filter((name) => !known.has(name))).toEqual([])
    const outcome = parseConfig(given)
    expect(outcome).toMatchObject({ ok: true, config: { broker: { kind: 'external', username: 'monitor' } } })
  })
  it.each(services)(
    '%s has a pinned image, a health check, and binds to this computer only',
    (_name, service) => {
      if (service.image) expect(service.image).toMatch(/:\d+\.\d+\.\d+$/)
      else expect(existsSync(service.build?.dockerfile ?? '')).toBe(true)
      const ownCheck = (file: string): boolean => /^HEALTHCHECK /m.test(readFileSync(file, 'utf8'))
      if (service.build)
        expect([service.healthcheck, ownCheck(service.build.dockerfile)]).toEqual([undefined, true])
      else expect(service.healthcheck?.test.length).toBeGreaterThan(1)
      for (const port of service.ports ?? []) expect(port).toMatch(/^127\.0\.0\.1:/)
    },
  )
  it.each(services)('%s holds no secret: each comes from a file, none is committed', (_name, service) => {
    for (const [name, value] of Object.entries(service.environment ?? {})) {
      if (/PASSWORD|TOKEN|SECRET/.test(name))
        expect([name, value]).toEqual([
          expect.stringMatching(/_FILE$/),
          expect.stringMatching(/^\/run\/secrets\//),
        ])
    }
    for (const secret of service.secrets ?? []) {
      const source = typeof secret === 'string' ? secret : secret.source
      expect(compose.secrets[source]?.file).toMatch(/^\.\/\.secrets\//)
    }
    expect(readFileSync('.gitignore', 'utf8')).toContain('.secrets/')
  })
  it.each(services)(
    '%s keeps its data in named volumes, and mounts only files that are there',
    (_name, service) => {
      for (const volume of service.volumes ?? []) {
        const source = volume.split(':')[0] ?? ''
        if (source.startsWith('.')) expect([source, existsSync(source)]).toEqual([source, true])
        else expect(Object.keys(compose.volumes)).toContain(source)
      }
    },
  )
})

describe('the image of the monitor', () => {
  const lines = readFileSync('services/monitor/Dockerfile', 'utf8')
  const stage = lines.slice(lines.lastIndexOf('\nFROM '))

  it('runs as a user without rights, with folders of its own for data and key, apart from each other', () => {
    expect(stage).toMatch(/^USER node$/m)
    const given = Object.fromEntries(
      [...stage.matchAll(/^ENV (.*)$/gm)].flatMap(([, pairs = '']) =>
        pairs.split(' ').map((pair) => pair.split('=') as [string, string]),
      ),
    )
    const config = { dataDir: '/data', keyFile: '/key/nightcap-key' }
    expect(parseConfig(given)).toMatchObject({ ok: true, config })
    expect([...stage.matchAll(/^VOLUME (\S+)$/gm)].map(([, folder]) => folder)).toEqual(['/data', '/key'])
    const images = [...lines.matchAll(/^FROM \S+:(\S+)/gm)]
    expect(images.map(([, tag]) => /^\d+\.\d+/.test(tag ?? ''))).toEqual([true, true])
  })

  it('asks the monitor itself how it is, and is stopped by the signal on which it stops cleanly', () => {
    expect(stage).toMatch(/^HEALTHCHECK [^]*\/healthz[^]*process\.exit\(r\.statusCode === 200 \? 0 : 1\)/m)
    expect(stage).toMatch(/^STOPSIGNAL SIGTERM$/m)
    // The command itself is process 1: a shell before it would keep the signal to itself.
    expect(stage).toMatch(/^CMD \["node", /m)
  })

  it('in the shop of three it may write to its volumes alone, and has more time to stop than it takes', () => {
    const monitor = compose.services['monitor']
    expect([monitor?.read_only, monitor?.cap_drop, monitor?.security_opt]).toEqual([
      true,
      ['ALL'],
      ['no-new-privileges:true'],
    ])
    expect(Number.parseInt(monitor?.stop_grace_period ?? '', 10)).toBeGreaterThan(10)
  })
})
