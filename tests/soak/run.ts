import { parseArgs } from 'node:util'
import { hasProgram } from '../parts/host.ts'
import { freePort } from '../parts/free-port.ts'
import { runDeliveryKills } from '../parts/delivery-kills.ts'
import { runKills, type KillRun } from '../parts/kill-run.ts'
import { runLoad } from '../parts/load-run.ts'
import { startShippedMosquitto } from '../parts/shipped-mosquitto.ts'

/**
 * `npm run soak`: a thousand kills of the monitor under load, half behind each broker, 200 between sending and writing
 * down; then a thousand nodes at one reading a second for ten minutes, all cut half way. `--kills`, `--nodes` and
 * `--seconds` change the numbers, 0 leaves a part out. Ends with 1 if anything was lost or doubled.
 */
const { values } = parseArgs({
  options: {
    kills: { type: 'string', default: '1000' },
    nodes: { type: 'string', default: '1000' },
    seconds: { type: 'string', default: '600' },
  },
})
const [kills, nodes, seconds] = [count('kills'), count('nodes'), count('seconds')]
let bad = false
if (kills > 0) bad = (await killed(kills)) || bad
if (nodes > 0 && seconds > 0) bad = (await loaded({ nodes, seconds })) || bad
process.exitCode = bad ? 1 : 0

function count(name: keyof typeof values): number {
  const given = Number(values[name])
  if (Number.isInteger(given) && given >= 0) return given
  throw new RangeError(`--${name} must be a whole number from 0, got ${values[name]}`)
}

async function killed(count: number): Promise<boolean> {
  const half = Math.ceil(count / 2)
  const runs: [string, KillRun][] = [['embedded broker', await behindEmbedded(half)]]
  if (hasProgram('mosquitto')) runs.push(['Mosquitto', await behindMosquitto(count - half)])
  else console.log('mosquitto is missing: apt-get install mosquitto. Its half is left out.')
  console.log(
    '| behind | kills | acknowledged | lost | alarms doubled | tasks doubled |\n| --- | --- | --- | --- | --- | --- |',
  )
  for (const [broker, run] of runs) {
    console.log(
      `| ${broker} | ${run.kills} | ${run.acknowledged} | ${run.lost} | ${run.doubled.alarms} | ${run.doubled.tasks} |`,
    )
  }
  const notices = await runDeliveryKills(Math.min(count, 200))
  console.log(
    `notices: ${notices.kills} kills between sending and writing down, ${notices.lost} lost, ${notices.again} came again under their key, ${notices.strange} under another`,
  )
  return (
    notices.lost + notices.strange > 0 ||
    runs.some(([, { lost, doubled }]) => lost > 0 || doubled.alarms > 0 || doubled.tasks > 0)
  )
}

async function loaded(plan: { nodes: number; seconds: number }): Promise<boolean> {
  const run = await runLoad(plan)
  console.log(
    `load: ${plan.nodes} nodes for ${plan.seconds} s, ${run.measured} readings, ${run.lost} lost; after a cut of all at once every node was back and had sent what it kept after ${run.backAfterMs} ms; resident memory (heap of at most 128 MB) ${run.residentMb.early} MB after a quarter, ${run.residentMb.late} MB at the end; the board in ${Math.round(run.boardMs)} ms (95th percentile), longest silence of an open screen ${run.longestSilenceMs} ms; ${run.stalledCut} of ${run.stalled} screens that stopped reading were cut`,
  )
  return run.lost !== 0
}

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
