import { loadAuthority, loadNodeConfig, loadNodeSecret, type Loaded } from '../../sensors/load-config.ts'
import { createSystemNodeClock } from '../../sensors/node-clock.ts'
import { dryRun, runSensorNode } from '../../sensors/sense.ts'
import { createLog } from '../monitor/log.ts'
import { readVariable } from '../monitor/read-config.ts'
import { stopSignal } from './stop-signal.ts'
import { readOptions, UsageError } from './usage-error.ts'

const OPTIONS = {
  config: { type: 'string', default: 'node.yaml' },
  'dry-run': { type: 'boolean', default: false },
} as const

/** `nightcap sense`: runs a sensor node until it is told to stop; `--dry-run` measures once and prints what it would publish. */
export async function sense(args: readonly string[]): Promise<number> {
  const options = readOptions(args, OPTIONS)
  const config = given(loadNodeConfig(options.config), options.config)
  const clock = createSystemNodeClock()
  const log = createLog({ level: 'info' })
  if (options['dry-run']) {
    console.log(await dryRun(config, { clock, log }))
    return 0
  }
  const secret = given(loadNodeSecret(config, readVariable('NIGHTCAP_NODE_SECRET')), options.config)
  const ca = given(loadAuthority(config), options.config)
  const { signal } = stopSignal()
  console.log(
    `Node ${config.node} measures ${config.channels.length} channels every ${config.everyMs / 1000} s for ${config.broker.url}.`,
  )
  await runSensorNode(config, { secret, ...(ca === undefined ? {} : { ca }), log, clock, signal })
  return 0
}

/** @throws {UsageError} with one line a problem, each naming the field and the cure. */
function given<T>(loaded: Loaded<T>, file: string): T {
  if (loaded.ok) return loaded.value
  throw new UsageError(
    loaded.problems
      .map(({ field, reason }) => `${file}${field === '' ? '' : `, ${field}`}: ${reason}`)
      .join('\n'),
  )
}
