import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { MINUTES_HEADING, parseMinuteLine } from '../codecs/minutes-csv.ts'
import { parseSettingsYaml } from '../codecs/settings-file.ts'
import { MANIFEST_FILE, parseManifest, type ShopFile } from '../codecs/shop-manifest.ts'
import { disposalSchema, type Disposal } from '../core/model/disposal.ts'
import { logEntrySchema, logIdOf, type LogEntry } from '../core/model/log-entry.ts'
import type { MinuteRecord, MinuteStore } from '../core/model/ports/shop-files.ts'
import type { BookOfRecord, RecordsReader } from '../core/model/ports/records.ts'
import type { Settings } from '../core/model/settings.ts'
import { hashOfFile, ImportFileError, openText } from './import-source.ts'
import type { KernelKeeper } from './kernel-keeper.ts'

/** An entry of the logbook may name every channel group of a big machine. */
const MOST_ENTRY_BYTES = 1_000_000

export interface ShopImportParts {
  readonly book: BookOfRecord
  readonly keeper: KernelKeeper
  readonly reader: Pick<RecordsReader, 'logHistory' | 'disposalHistory'>
  readonly minutes: MinuteStore
  readonly nowMs: () => number
}

/**
 * Looks through an export before anything of it is taken in: its manifest, and that every file is what the manifest says.
 * Gives its settings.
 *
 * @throws {ImportFileError}
 */
export async function checkShopFolder(folder: string): Promise<Settings> {
  const path = join(folder, MANIFEST_FILE)
  if (!existsSync(path))
    throw new ImportFileError(`${folder} has no ${MANIFEST_FILE}: name the folder that nightcap export made`)
  const manifest = parseManifest(readFileSync(path, 'utf8'))
  if (typeof manifest === 'string') throw new ImportFileError(`${path} ${manifest}`)
  for (const { name, sha256 } of manifest.files) {
    const file = join(folder, name)
    if (!existsSync(file)) throw new ImportFileError(`${file} is missing: copy the folder again, as a whole`)
    if ((await hashOfFile(file)) !== sha256)
      throw new ImportFileError(`${file} is not as it was exported: copy the folder again`)
  }
  const settings = parseSettingsYaml(readFileSync(join(folder, 'settings.yaml'), 'utf8'))
  if (settings.ok) return settings.settings
  throw new ImportFileError(
    `${join(folder, 'settings.yaml')}: ${settings.errors[0]?.detail ?? 'cannot be read'}`,
  )
}

export interface ShopCounts {
  readonly minutes: number
  readonly logEntries: number
  readonly disposals: number
}

/**
 * What an export holds beside settings and readings.
 *
 * SHOP-1 what is held already is not taken twice: the same folder again adds nothing, and one that was broken off goes on.
 * SHOP-2 entries keep who made them and when, and come as entries of the past: they raise no alarm and wet no ink.
 */
export async function importShopRest(parts: ShopImportParts, folder: string): Promise<ShopCounts> {
  return {
    minutes: await takeLines(parts, join(folder, 'minutes.csv.gz'), {
      parse: (line) => (line === MINUTES_HEADING ? 'heading' : parseMinuteLine(line)),
      take: (records: readonly MinuteRecord[]) => parts.minutes.takeMinutes(records),
    }),
    logEntries: await takeLines(parts, join(folder, 'logbook.jsonl' satisfies ShopFile), {
      parse: (line) => logEntrySchema.safeParse(jsonOf(line)).data ?? null,
      take: (entries: readonly LogEntry[]) => entries.filter((entry) => takeEntry(parts, entry)).length,
    }),
    disposals: await takeLines(parts, join(folder, 'disposals.jsonl' satisfies ShopFile), {
      parse: (line) => disposalSchema.safeParse(jsonOf(line)).data ?? null,
      take: (disposals: readonly Disposal[]) => disposals.filter((d) => takeDisposal(parts, d)).length,
    }),
  }
}

/** A block of lines a transaction. @throws {ImportFileError} naming a line that is none of ours */
async function takeLines<T>(
  { book, keeper, nowMs }: ShopImportParts,
  path: string,
  { parse, take }: { parse: (line: string) => T | 'heading' | null; take: (items: readonly T[]) => number },
): Promise<number> {
  let [taken, lineNumber] = [0, 0]
  for await (const { lines } of openText(path, 0, MOST_ENTRY_BYTES).blocks) {
    const items: T[] = []
    for (const line of lines) {
      lineNumber++
      if (line === '') continue
      const item = line === null ? null : parse(line)
      if (item === null)
        throw new ImportFileError(`${path}: line ${lineNumber} is none that an export writes: export again`)
      if (item !== 'heading') items.push(item)
    }
    taken += book.transaction(() => {
      const count = take(items)
      keeper.beforeCommit(nowMs(), 'always')
      return count
    })
  }
  return taken
}

function takeEntry({ reader, keeper, nowMs }: ShopImportParts, entry: LogEntry): boolean {
  const held = reader.logHistory({ kind: entry.kind, id: logIdOf(entry) })
  if (held.some((one) => isSame(logEntrySchema.parse(one), entry))) return false
  const { act, ...said } = entry
  const atMs = nowMs()
  keeper.take({ type: 'logEntriesNoted', atMs, receivedMs: atMs, act, entries: [said] })
  return true
}

function takeDisposal({ reader, keeper, nowMs }: ShopImportParts, disposal: Disposal): boolean {
  const held = reader.disposalHistory(disposal.disposalId)
  if (held.some((one) => isSame(disposalSchema.parse(one), disposal))) return false
  const atMs = nowMs()
  keeper.take({ type: 'disposalLogged', atMs, receivedMs: atMs, ...disposal })
  return true
}

/** Both came through one schema, which gives them their keys in one order. */
function isSame(a: object, b: object): boolean {
  return JSON.stringify(a) === JSON.stringify(b)
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return null
  }
}
