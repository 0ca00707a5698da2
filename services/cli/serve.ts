import { readConfig } from '../monitor/read-config.ts'
import { createLog } from '../monitor/log.ts'
import { startMonitor } from '../monitor/start-monitor.ts'
import { stopSignal } from './stop-signal.ts'
import { readOptions } from './usage-error.ts'

/** `nightcap serve`: runs the monitor until it is told to stop. */
export async function serve(args: readonly string[]): Promise<number> {
  readOptions(args, {})
  const outcome = readConfig()
  if (!outcome.ok) {
    for (const problem of outcome.problems) console.error(problem)
    return 2
  }
  const { config } = outcome
  const stop = stopSignal()
  const log = createLog({ level: config.logLevel })
  const monitor = await startMonitor({ config, log })
  console.log(`Nightcap is at ${monitor.url}`)
  console.log(monitor.brokerSentence)
  const code = monitor.firstOwnerCode()
  if (code) {
    console.log(
      `\nThis shop has no owner yet. Open within 15 minutes:\n\n  ${monitor.url}/#first-owner=${code}\n`,
    )
    console.log('Then: add your rooms and machines under Setup, and a sensor node under Sensors.')
  }
  console.log('\nReady. Ctrl+C stops it.')
  await stop.stopped
  await monitor.close()
  return 0
}
