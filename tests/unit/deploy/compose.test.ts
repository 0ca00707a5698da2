import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { ENVIRONMENT, parseConfig } from '../../../services/monitor/config.ts'

interface Service {
  image?: string
  build?: { context: string; dockerfile: string }
  environment?: Record<string, string>
  healthcheck?: { test: string[] }
  volumes?: string[]
  ports?: string[]
  secrets?: (string | { source: string; target: string })[]
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
      expect(service.healthcheck?.test.length).toBeGreaterThan(1)
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
