import { GenericContainer, Wait, type StartedTestContainer } from 'testcontainers'
import type { TestContext } from 'vitest'
import { requireProgram, skipBecause } from './host.ts'
import { startInflux, type InfluxPlace, type LocalInflux } from './influx.ts'

/** The InfluxDBs that contracts of history run on, each opened once, or skipped with the reason. */
export interface InfluxPlaces {
  /** 1.6 of Debian, on this computer. */
  readonly local: (context: TestContext) => Promise<LocalInflux>
  /** 2 in a container. */
  readonly container: (context: TestContext) => Promise<InfluxPlace>
  /** Whatever stands at NIGHTCAP_TEST_INFLUX_URL: `https://TOKEN@host/?org=ORG&bucket=BUCKET`. */
  readonly remote: (context: TestContext) => InfluxPlace
  readonly close: () => Promise<void>
}

const CONTAINER = { org: 'shop', bucket: 'nightcap', token: 'a-token-of-this-test-alone' }

export function createInfluxPlaces(): InfluxPlaces {
  let local: LocalInflux | null = null
  let container: Promise<StartedTestContainer> | null = null
  return {
    local: async (context) => {
      requireProgram(context, 'influxd')
      return (local ??= await startInflux())
    },
    container: async (context) => {
      const started = await (container ??= startContainer()).catch((error: unknown) => {
        const reason = error instanceof Error ? error.message : String(error)
        if (/container runtime/.test(reason)) return skipBecause(context, `no container engine: ${reason}`)
        throw error
      })
      return { ...CONTAINER, url: `http://${started.getHost()}:${started.getMappedPort(8086)}` }
    },
    remote: (context) => {
      const given = process.env['NIGHTCAP_TEST_INFLUX_URL']
      if (given === undefined) return skipBecause(context, 'NIGHTCAP_TEST_INFLUX_URL is not set')
      const { origin, username, searchParams } = new URL(given)
      return {
        url: origin,
        token: decodeURIComponent(username),
        org: searchParams.get('org') ?? 'shop',
        bucket: searchParams.get('bucket') ?? 'nightcap',
      }
    },
    close: async () => {
      await local?.close()
      await container?.then((c) => c.stop()).catch(() => undefined)
    },
  }
}

function startContainer(): Promise<StartedTestContainer> {
  return new GenericContainer('influxdb:2.7.12')
    .withExposedPorts(8086)
    .withEnvironment({
      DOCKER_INFLUXDB_INIT_MODE: 'setup',
      DOCKER_INFLUXDB_INIT_USERNAME: 'nightcap',
      DOCKER_INFLUXDB_INIT_PASSWORD: 'a-password-of-this-test',
      DOCKER_INFLUXDB_INIT_ORG: CONTAINER.org,
      DOCKER_INFLUXDB_INIT_BUCKET: CONTAINER.bucket,
      DOCKER_INFLUXDB_INIT_ADMIN_TOKEN: CONTAINER.token,
    })
    .withWaitStrategy(Wait.forHttp('/health', 8086))
    .start()
}
