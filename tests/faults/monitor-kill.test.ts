import { describe, expect, it } from 'vitest'
import { freePort } from '../parts/free-port.ts'
import { requireProgram } from '../parts/host.ts'
import { runKills } from '../parts/kill-run.ts'
import { startShippedMosquitto } from '../parts/shipped-mosquitto.ts'

describe('kill -9 of the monitor under load', { timeout: 240_000 }, () => {
  it('behind the embedded broker: every acknowledged reading is there, no alarm or task is doubled', async () => {
    const [http, mqtt] = [await freePort(), await freePort()]
    const environment = { NIGHTCAP_HTTP_PORT: String(http), NIGHTCAP_MQTT_PORT: String(mqtt) }
    const run = await runKills({ kills: 10, seed: 1, environment, mqttUrl: `mqtt://127.0.0.1:${mqtt}` })
    expect(run).toMatchObject({ kills: 10, lost: 0, doubled: { alarms: 0, tasks: 0 } })
    expect(run.acknowledged).toBeGreaterThan(300)
  })

  it('behind Mosquitto: every acknowledged reading is there, no alarm or task is doubled', async (context) => {
    requireProgram(context, 'mosquitto')
    const broker = await startShippedMosquitto({
      users: { monitor: 'monitor-secret', bench: 'bench-secret' },
    })
    try {
      const environment = {
        NIGHTCAP_HTTP_PORT: String(await freePort()),
        NIGHTCAP_MQTT_URL: broker.url,
        NIGHTCAP_MQTT_USERNAME: 'monitor',
        NIGHTCAP_MQTT_PASSWORD: 'monitor-secret',
      }
      const run = await runKills({
        kills: 10,
        seed: 2,
        environment,
        mqttUrl: `mqtt://127.0.0.1:${broker.nodePort}`,
        nodeSecret: 'bench-secret',
      })
      expect(run).toMatchObject({ kills: 10, lost: 0, doubled: { alarms: 0, tasks: 0 } })
      expect(run.acknowledged).toBeGreaterThan(300)
    } finally {
      await broker.close()
    }
  })
})
