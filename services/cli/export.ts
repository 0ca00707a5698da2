import { existsSync, writeFileSync } from 'node:fs'
import { createSqliteShopReader } from '../adapters/records-sqlite/create-shop-reader.ts'
import { openSnapshot } from '../adapters/records-sqlite/open-snapshot.ts'
import { toSettingsYaml } from '../codecs/settings-file.ts'
import { LEFT_OUT } from '../codecs/shop-manifest.ts'
import type { ShopReader } from '../core/model/ports/shop-files.ts'
import { sensorIdSchema } from '../core/model/subject.ts'
import { exportReadings, exportShop, settingsToExport } from '../monitor/export-shop.ts'
import { dataDir } from './import.ts'
import { stopSignal } from './stop-signal.ts'
import { readOptions, UsageError } from './usage-error.ts'

const OPTIONS = {
  what: { type: 'string', default: 'shop' },
  to: { type: 'string' },
  sensor: { type: 'string' },
  since: { type: 'string' },
  until: { type: 'string' },
} as const

/** `nightcap export --to PLACE`: a running monitor may go on meanwhile; the files show one moment. */
export async function exportCommand(args: readonly string[]): Promise<number> {
  const options = readOptions(args, OPTIONS)
  const { what, to } = options
  if (to === undefined) throw new UsageError('--to is missing: name the file or folder to write')
  if (what !== 'shop' && what !== 'readings' && what !== 'settings')
    throw new UsageError(`--what takes shop, readings or settings, got ${what}`)
  if (what === 'readings' && !/\.csv(\.gz)?$/.test(to))
    throw new UsageError(`--to: let the name end in .csv or .csv.gz (packed), got ${to}`)
  if (what !== 'readings' && [options.sensor, options.since, options.until].some((o) => o !== undefined))
    throw new UsageError('--sensor, --since and --until go with --what readings alone')
  const asked = {
    ...(options.sensor === undefined ? {} : { sensorId: sensorOf(options.sensor) }),
    ...(options.since === undefined ? {} : { fromMs: instantOf('since', options.since) }),
    ...(options.until === undefined ? {} : { toMs: instantOf('until', options.until) }),
  }
  const { signal } = stopSignal()
  const shop = createSqliteShopReader({ db: openSnapshot(dataDir()) })
  try {
    if (what === 'shop') await wholeShop(shop, to, signal)
    else if (what === 'settings') settingsAlone(shop, to)
    else {
      const { rows } = await exportReadings(shop, to, { ...asked, signal })
      console.log(`${rows.toLocaleString('en')} readings are in ${to}.`)
    }
    return 0
  } catch (error) {
    if (!signal.aborted) throw error
    console.error(`Stopped; nothing was left at ${to}.`)
    return 1
  } finally {
    shop.close()
  }
}

async function wholeShop(shop: ShopReader, to: string, signal: AbortSignal): Promise<void> {
  const files = await exportShop(shop, to, signal)
  for (const { name, rows } of files) console.log(`  ${name.padEnd(18)} ${rows.toLocaleString('en')} lines`)
  console.log(`The shop is in ${to}. Not in it:`)
  for (const left of LEFT_OUT) console.log(`  - ${left}`)
}

function settingsAlone(shop: ShopReader, to: string): void {
  if (existsSync(to)) throw new UsageError(`--to: ${to} is there already; name a new file`)
  writeFileSync(to, toSettingsYaml(settingsToExport(shop)), { flag: 'wx', mode: 0o600 })
  console.log(`The settings are in ${to}, without the addresses of webhooks: those may hold a key.`)
}

function sensorOf(text: string): string {
  const parsed = sensorIdSchema.safeParse(text)
  if (parsed.success) return parsed.data
  throw new UsageError(`--sensor: ${parsed.error.issues[0]?.message ?? 'is no sensor id'}, got ${text}`)
}

function instantOf(name: string, text: string): number {
  const atMs = /^\d{4}-\d\d-\d\dT[\d:.]+(Z|[+-]\d\d:\d\d)$/.test(text) ? Date.parse(text) : NaN
  if (Number.isNaN(atMs))
    throw new UsageError(`--${name} takes a time with its offset, such as 2026-05-04T06:00:00Z, got ${text}`)
  return atMs
}
