import { type ChildProcess, spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { loadNodeConfig } from '../../sensors/load-config.ts'
import { createSystemNodeClock } from '../../sensors/node-clock.ts'
import { runSensorNode } from '../../sensors/sense.ts'

/** A sensor node in a process of its own, so that it can be killed. The secret goes by the environment. */
export function spawnSensorNode(configFile: string, secret: string): ChildProcess {
  return spawn(process.execPath, ['--import', 'tsx', fileURLToPath(import.meta.url), configFile], {
    env: { ...process.env, NODE_TEST_SECRET: secret },
    stdio: 'inherit',
  })
}

const [, self, configFile] = process.argv
if (self === fileURLToPath(import.meta.url) && configFile !== undefined) {
  const loaded = loadNodeConfig(configFile)
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems))
  const stop = new AbortController()
  process.once('SIGTERM', () => stop.abort())
  await runSensorNode(loaded.value, {
    secret: process.env['NODE_TEST_SECRET'] ?? '',
    log: { info: () => undefined, warn: () => undefined },
    clock: createSystemNodeClock(),
    signal: stop.signal,
  })
}
