import { basename, join } from 'node:path'
import { existsSync, statSync } from 'node:fs'
import type { ImportMark } from '../core/model/ports/reading-import.ts'
import { openBadRows } from '../monitor/bad-rows.ts'
import { importReadings, type ImportParts } from '../monitor/import-readings.ts'
import { hashOfFile } from '../monitor/import-source.ts'
import { checkShopFolder, importShopRest } from '../monitor/import-shop.ts'
import { openImport } from '../monitor/open-import.ts'
import { readConfig } from '../monitor/read-config.ts'
import { createProgress } from './progress.ts'
import { stopSignal } from './stop-signal.ts'
import { readOptions, UsageError } from './usage-error.ts'

const OPTIONS = { from: { type: 'string' }, 'bad-rows': { type: 'string' } } as const

/**
 * `nightcap import --from FILE`: brings readings into the data folder of a monitor that is not running. Ends with 1 when
 * rows could not be used, or when it was stopped before the end.
 */
export async function importCommand(args: readonly string[]): Promise<number> {
  const options = readOptions(args, OPTIONS)
  const { from } = options
  if (from === undefined)
    throw new UsageError(
      '--from is missing: name a file of readings (.csv or .csv.gz), or the folder of an export',
    )
  if (!existsSync(from)) throw new UsageError(`--from: there is no ${from}; check the path`)
  const stop = stopSignal()
  if (statSync(from).isDirectory()) return importShop(from, stop)
  if (!/\.csv(\.gz)?$/.test(from))
    throw new UsageError(
      `--from: ${from} is no .csv or .csv.gz file, nor a folder of an export; settings (.yaml) are brought in under Setup`,
    )
  const parts = openImport(dataDir(), Date.now)
  try {
    const mark = await importFile(parts, {
      from,
      badRowsPath: options['bad-rows'] ?? `${from}.bad-rows.csv`,
      stop,
    })
    return mark.done && mark.bad === 0 ? 0 : 1
  } finally {
    parts.close()
  }
}

/** Settings first, so that what follows belongs to something; a folder that has settings keeps its own. */
async function importShop(from: string, stop: ReturnType<typeof stopSignal>): Promise<number> {
  const settings = await checkShopFolder(from)
  const parts = openImport(dataDir(), Date.now, settings)
  try {
    if (JSON.stringify(parts.settings()) !== JSON.stringify(settings))
      console.log(
        `The settings here stay as they are; load ${join(from, 'settings.yaml')} under Setup to take those.`,
      )
    const path = join(from, 'readings.csv.gz')
    const mark = await importFile(parts, { from: path, badRowsPath: `${path}.bad-rows.csv`, stop })
    if (!mark.done) return 1
    const counts = await importShopRest(parts, from)
    console.log(
      `${counts.minutes} records of minutes, ${counts.logEntries} entries of the logbook and ${counts.disposals} disposals were added.`,
    )
    console.log(
      'Secrets are in no export: give nodes, programs and people theirs again, and webhooks their addresses.',
    )
    return mark.bad === 0 ? 0 : 1
  } finally {
    parts.close()
  }
}

/** @throws {UsageError} with what is wrong in the environment */
export function dataDir(): string {
  const outcome = readConfig()
  if (!outcome.ok) throw new UsageError(outcome.problems.join('\n'))
  return outcome.config.dataDir
}

export async function importFile(
  parts: ImportParts,
  { from, badRowsPath, stop }: { from: string; badRowsPath: string; stop: ReturnType<typeof stopSignal> },
): Promise<ImportMark> {
  const fileBytes = statSync(from).size
  const fileHash = await hashOfFile(from)
  const before = parts.store.mark(fileHash)
  if (before?.done === true) {
    console.log(`${from} is in already, since ${new Date(before.atMs).toISOString()}: nothing to do.`)
    return before
  }
  if (before) console.log(`Going on with ${from} behind line ${before.lines.toLocaleString('en')}.`)
  const progress = createProgress('rows')
  const mark = await importReadings(parts, {
    path: from,
    fileName: basename(from),
    fileHash,
    openBadRows: (keptBytes) => openBadRows(badRowsPath, keptBytes),
    progress: ({ lines }, bytesRead) => {
      progress.at(lines, bytesRead / fileBytes)
      return !stop.signal.aborted
    },
  })
  progress.end()
  for (const line of wordsOf(mark, from, badRowsPath)) console.log(line)
  return mark
}

function wordsOf(mark: ImportMark, from: string, badRowsPath: string): readonly string[] {
  const n = (count: number): string => count.toLocaleString('en')
  const told: [number, string][] = [
    [mark.held, `${n(mark.held)} were here already.`],
    [
      mark.conflicts,
      `${n(mark.conflicts)} say another value than one that is here for the same moment: the first stands, they are kept apart.`,
    ],
    [
      mark.covered,
      `${n(mark.covered)} were left out: of their minutes only the records are kept, and those may count them already.`,
    ],
    [
      mark.notJudged,
      `${n(mark.notJudged)} are older than 72 h: they are in the history, and raised no alarms.`,
    ],
    [
      mark.bad,
      `${n(mark.bad)} rows could not be used. Each stands in ${badRowsPath} with its line and the cure.`,
    ],
  ]
  const end = mark.done
    ? []
    : [`Stopped behind line ${n(mark.lines)}. Start it again with ${from} to go on from there.`]
  return [
    `${n(mark.added)} readings were added.`,
    ...told.filter(([count]) => count > 0).map(([, text]) => text),
    ...end,
  ]
}
