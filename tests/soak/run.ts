import { hasProgram } from '../parts/host.ts'
import { freePort } from '../parts/free-port.ts'
import { runDeliveryKills } from '../parts/delivery-kills.ts'
import { runKills, type KillRun } from '../parts/kill-run.ts'
import { startShippedMosquitto } from '../parts/shipped-mosquitto.ts'

/** `npm run soak [kills]`: a thousand kills of the monitor under load, half behind each broker. Ends with 1 if anything was lost or doubled. */
const kills = Number(process.argv[2] ?? 1000)
const half = Math.ceil(kills / 2)

const runs: [string, KillRun][] = [['embedded broker', await behindEmbedded(half)]]
if (hasProgram('mosquitto')) runs.push(['Mosquitto', await behindMosquitto(kills - half)])
else console.log('mosquitto is missing: apt-get install mosquitto. Its half is left out.')

console.log(
  '| behind | kills | acknowledged | lost | alarms doubled | tasks doubled |\n| --- | --- | --- | --- | --- | --- |',
)
for (const [broker, run] of runs) {
  console.log(
    `| ${broker} | ${run.kills} | ${run.acknowledged} | ${run.lost} | ${run.doubled.alarms} | ${run.doubled.tasks} |`,
  )
}
const notices = await runDeliveryKills(Math.min(kills, 200))
console.log(
  `notices: ${notices.kills} kills between sending and writing down, ${notices.lost} lost, ${notices.again} came again under their key, ${notices.strange} under another`,
)
const bad =
  notices.lost + notices.strange > 0 ||
  runs.some(([, { lost, doubled }]) => lost > 0 || doubled.alarms > 0 || doubled.tasks > 0)
process.exitCode = bad ? 1 : 0

async function behindEmbedded(count: number): Promise<KillRun> {
  const [http, mqtt] = [await freePort(), await freePort()]
  const environment = { NIGHTCAP_HTTP_PORT: String(http), NIGHTCAP_MQTT_PORT: String(mqtt) }
  return runKills({ kills: count, seed: 11, environment, mqttUrl: `mqtt://127.0.0.1:${mqtt}` })
}

async function behindMosquitto(count: number): Promise<KillRun> {
  const broker = await startShippedMosquitto({ users: { monitor: 'monitor-secret', bench: 'bench-secret' } })
  const environment = {
    NIGHTCAP_HTTP_PORT: String(await freePort()),
    NIGHTCAP_MQTT_URL: broker.url,
    NIGHTCAP_MQTT_USERNAME: 'monitor',
    NIGHTCAP_MQTT_PASSWORD: 'monitor-secret',
  }
  try {
    return await runKills({
      kills: count,
      seed: 12,
      environment,
      mqttUrl: `mqtt://127.0.0.1:${broker.nodePort}`,
      nodeSecret: 'bench-secret',
    })
  } finally {
    await broker.close()
  }
}
