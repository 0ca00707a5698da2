import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createSimulatedShop } from '../../sensors/simulator/create-shop.ts'
import { demoIncidents } from '../../sensors/simulator/demo-story.ts'
import { runLivePublisher } from '../../sensors/simulator/publish-live.ts'
import { demoNodes, demoPlan } from '../../sensors/simulator/shop-plan.ts'
import { createScaledClock } from '../adapters/clock/scaled-clock.ts'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import { openingCalendar } from '../core/model/opening-hours.ts'
import { backfill } from '../monitor/backfill.ts'
import { createLog } from '../monitor/log.ts'
import { parseConfig, type MonitorConfig } from '../monitor/config.ts'
import { startMonitor } from '../monitor/start-monitor.ts'
import { createPasswords } from '../web/auth/passwords.ts'
import { createId, createSecret, sha256 } from '../web/auth/secrets.ts'
import { logOfARound } from './demo-logbook.ts'
import { pastPacks } from './demo-past.ts'
import { actsOfARound, roundsOf } from './demo-people.ts'
import { stopSignal } from './stop-signal.ts'
import { numberOption, readOptions, UsageError } from './usage-error.ts'

const DAY_MS = 86_400_000
const OPTIONS = {
  speed: { type: 'string', default: '1' },
  port: { type: 'string', default: '8080' },
  days: { type: 'string', default: '60' },
  seed: { type: 'string', default: '1' },
} as const

/** `nightcap demo`: an invented shop with a past and live simulated sensors over real MQTT. Forgets all when it stops. */
export async function demo(args: readonly string[]): Promise<number> {
  const options = readOptions(args, OPTIONS)
  const speed = numberOption('speed', options.speed, { min: 1, max: 600 })
  const days = numberOption('days', options.days, { min: 1, max: 365 })
  const seed = numberOption('seed', options.seed, { min: 0, max: 2 ** 32 - 1 })
  const port = numberOption('port', options.port, { min: 0, max: 65_535 })
  const dataDir = mkdtempSync(join(tmpdir(), 'nightcap-demo-'))
  const stop = stopSignal()
  try {
    await run({ speed, days, seed, config: configOf(dataDir, port), stop })
    return 0
  } finally {
    rmSync(dataDir, { recursive: true, force: true })
  }
}

interface DemoRun {
  readonly speed: number
  readonly days: number
  readonly seed: number
  readonly config: MonitorConfig
  readonly stop: ReturnType<typeof stopSignal>
}

async function run({ speed, days, seed, config, stop }: DemoRun): Promise<void> {
  const nowMs = Date.now()
  const fromMs = nowMs - days * DAY_MS
  const plan = demoPlan()
  const shop = createSimulatedShop({ seed, plan, startMs: fromMs, incidents: demoIncidents(nowMs, plan) })
  const secrets = new Map(demoNodes.map(({ id }) => [id as string, createSecret()]))
  const ownerId = createId('person')
  const passwordHash = await createPasswords().hash(createSecret())
  const log = createLog({ level: config.logLevel })
  const clock = createScaledClock({ startMs: nowMs, speed })
  console.log(`Making ${days} days of the past of an invented shop ...`)
  const monitor = await startMonitor({
    config,
    log,
    clock,
    prepare: ({ book, accounts }) => {
      const packs = pastPacks(shop, { fromMs, throughMs: nowMs })
      const calendar = openingCalendar(plan.settings)
      const readings = backfill(book, {
        settings: plan.settings,
        fromMs,
        packs,
        throughMs: nowMs,
        people: {
          rounds: roundsOf(calendar, { fromMs, throughMs: nowMs }),
          actsAt: (state, atMs) => [
            ...actsOfARound(state, ownerId, atMs),
            ...logOfARound(state, ownerId, atMs),
          ],
        },
      })
      console.log(`${readings.toLocaleString('en')} readings of ${days} days are in the book of record.`)
      addAccounts(accounts, { ownerId, passwordHash, secrets, nowMs })
    },
  })
  const publishing = runLivePublisher({
    shop,
    url: `mqtt://127.0.0.1:${monitor.mqttPort ?? 0}`,
    site: plan.settings.site.id,
    secrets,
    clock,
    signal: stop.signal,
    log,
  })
  const { path } = monitor.signInCodes.issueSignInLink(ownerId)
  console.log(
    `\nThe board is at ${monitor.url}\nSign in, once and within 15 minutes, with\n\n  ${monitor.url}${path}\n`,
  )
  console.log(
    `${monitor.brokerSentence} The simulated sensors publish there${speed > 1 ? `, ${speed} times as fast as life` : ''}.`,
  )
  console.log('All numbers are invented. Ctrl+C stops the demo and forgets it.\n\nReady.')
  await stop.stopped
  await publishing
  await monitor.close()
}

function configOf(dataDir: string, httpPort: number): MonitorConfig {
  const outcome = parseConfig({
    NIGHTCAP_DATA_DIR: dataDir,
    NIGHTCAP_HTTP_PORT: String(httpPort),
    NIGHTCAP_MQTT_PORT: '0',
    NIGHTCAP_LOG_LEVEL: 'warn',
  })
  if (!outcome.ok) throw new UsageError(outcome.problems.join('\n'))
  return outcome.config
}

/** Nobody knows the password of the demo's owner: the one-time link is the only way in. */
function addAccounts(
  accounts: AccountStore,
  {
    ownerId,
    passwordHash,
    secrets,
    nowMs,
  }: { ownerId: string; passwordHash: string; secrets: ReadonlyMap<string, string>; nowMs: number },
): void {
  accounts.addPerson({ id: ownerId, name: 'Demo owner', role: 'owner', createdMs: nowMs, passwordHash })
  for (const [id, secret] of secrets) {
    accounts.putCredential({ kind: 'node', id, title: id, secretHash: sha256(secret), createdMs: nowMs })
  }
}
