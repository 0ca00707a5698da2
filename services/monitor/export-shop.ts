import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { MINUTES_HEADING, toMinuteLine } from '../codecs/minutes-csv.ts'
import { READINGS_HEADING, toReadingLine } from '../codecs/readings-csv.ts'
import { toSettingsYaml } from '../codecs/settings-file.ts'
import {
  MANIFEST_FILE,
  SHOP_FILES,
  toManifest,
  type ShopFile,
  type ShopManifest,
} from '../codecs/shop-manifest.ts'
import type { KeptSeries, ShopReader } from '../core/model/ports/shop-files.ts'
import { emptySettings, type Settings } from '../core/model/settings.ts'
import { writeLines, type WrittenFile } from './text-file.ts'

const EVER = { fromMs: Number.MIN_SAFE_INTEGER, toMs: Number.MAX_SAFE_INTEGER }

/** A folder or file that an export would overwrite. */
export class ExportTargetError extends Error {
  override readonly name = 'ExportTargetError'
  readonly code = 'EXPORT_TARGET'
}

/**
 * Writes the whole shop into a folder.
 *
 * EXPORT-1 the folder is there when it is whole, and not before.
 * EXPORT-2 the same shop gives the same files, to the byte.
 * EXPORT-3 no secret is in it: those live in accounts and sealed, and the addresses of webhooks are left out.
 * EXPORT-4 what stands beside it under the name that it grows in stays, and is named: no export takes anything away.
 *
 * @throws {ExportTargetError} where there is something already
 */
export async function exportShop(
  shop: ShopReader,
  folder: string,
  signal?: AbortSignal,
): Promise<ShopManifest['files']> {
  if (existsSync(folder) && readdirSync(folder).length > 0)
    throw new ExportTargetError(`${folder} is not empty: name a folder that is new`)
  const unfinished = unfinishedOf(folder.replace(/[\\/]+$/, ''))
  mkdirSync(unfinished, { recursive: true, mode: 0o700 })
  try {
    const files: ShopManifest['files'] = []
    for (const name of SHOP_FILES) {
      const path = join(unfinished, name)
      files.push({ name, ...(await WRITERS[name](shop, path, signal)) })
    }
    writeFileSync(join(unfinished, MANIFEST_FILE), toManifest(files), { mode: 0o600, flush: true })
    if (existsSync(folder)) rmSync(folder, { recursive: true })
    renameSync(unfinished, folder)
    return files
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true })
    throw error
  }
}

/** Where it grows until it is whole. It may be what another export left, or somebody's own: that is not for us to say. */
function unfinishedOf(path: string): string {
  const unfinished = `${path}.part`
  if (!existsSync(unfinished)) return unfinished
  throw new ExportTargetError(
    `${unfinished} is there already, maybe of an export that was broken off: remove it, or name another place`,
  )
}

/** Readings alone, as one file; of one sensor or of all. @throws {ExportTargetError} where there is such a file already */
export async function exportReadings(
  shop: ShopReader,
  path: string,
  asked: { sensorId?: string; fromMs?: number; toMs?: number; signal?: AbortSignal },
): Promise<WrittenFile> {
  if (existsSync(path)) throw new ExportTargetError(`${path} is there already: name a new file`)
  const { sensorId, signal, fromMs = EVER.fromMs, toMs = EVER.toMs } = asked
  const series = shop.series().filter((s) => sensorId === undefined || s.sensorId === sensorId)
  const unfinished = unfinishedOf(path)
  try {
    const written = await writeReadings(shop, unfinished, { series, fromMs, toMs, signal })
    renameSync(unfinished, path)
    return written
  } catch (error) {
    rmSync(unfinished, { force: true })
    throw error
  }
}

/** Settings as they leave the house. */
export function settingsToExport(shop: ShopReader): Settings {
  const settings = shop.settings() ?? emptySettings()
  const contacts = settings.contacts.map((contact) => {
    const kept = { ...contact }
    delete kept.webhookUrl
    return kept
  })
  return { ...settings, contacts }
}

type Writer = (shop: ShopReader, path: string, signal?: AbortSignal) => Promise<WrittenFile>

const WRITERS: Readonly<Record<ShopFile, Writer>> = {
  'settings.yaml': (shop, path, signal) => {
    const lines = toSettingsYaml(settingsToExport(shop)).trimEnd().split('\n')
    return writeLines(path, { heading: null, lines, lineEnd: '\n' }, signal)
  },
  'readings.csv.gz': (shop, path, signal) =>
    writeReadings(shop, path, { series: shop.series(), ...EVER, signal }),
  'minutes.csv.gz': (shop, path, signal) => {
    const lines = mapped(eachOf(shop.series(), shop.minutes), toMinuteLine)
    return writeLines(path, { heading: MINUTES_HEADING, lines, lineEnd: '\r\n' }, signal)
  },
  'logbook.jsonl': (shop, path, signal) =>
    writeLines(path, { heading: null, lines: mapped(shop.logEntries(), jsonLine), lineEnd: '\n' }, signal),
  'disposals.jsonl': (shop, path, signal) =>
    writeLines(path, { heading: null, lines: mapped(shop.disposals(), jsonLine), lineEnd: '\n' }, signal),
}

function writeReadings(
  shop: ShopReader,
  path: string,
  asked: { series: readonly KeptSeries[]; fromMs: number; toMs: number; signal: AbortSignal | undefined },
): Promise<WrittenFile> {
  const lines = mapped(
    eachOf(asked.series, (series) => shop.readings(series, asked)),
    toReadingLine,
  )
  return writeLines(path, { heading: READINGS_HEADING, lines, lineEnd: '\r\n' }, asked.signal)
}

/** Keys in order, so that it does not matter by which way an entry came into the book. */
function jsonLine(entry: object): string {
  return JSON.stringify(entry, (_, value: unknown) =>
    typeof value === 'object' && value !== null && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
      : value,
  )
}

function* eachOf<A, B>(items: Iterable<A>, of: (item: A) => Iterable<B>): Generator<B> {
  for (const item of items) yield* of(item)
}

function* mapped<A, B>(items: Iterable<A>, to: (item: A) => B): Generator<B> {
  for (const item of items) yield to(item)
}
