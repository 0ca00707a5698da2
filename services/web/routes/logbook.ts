import { z } from 'zod'
import { MOST_CSV_CHARACTERS, type BadRow } from '../../codecs/csv-reading.ts'
import { disposalSchema, type Disposal } from '../../core/model/disposal.ts'
import {
  LOG_KINDS,
  logTimeOf,
  MOST_ENTRIES,
  saidEntrySchema,
  type LogEntry,
} from '../../core/model/log-entry.ts'
import type { LogWindow, RecordsReader } from '../../core/model/ports/records.ts'
import type { Settings } from '../../core/model/settings.ts'
import { actOf } from '../auth/guards.ts'
import { lastPage } from '../log-pages.ts'
import { planImport, type LogPlan } from '../logbook-plan.ts'
import { problemResponse, sendOutcome } from '../problem.ts'
import { disposalViews } from './disposals.ts'
import { logViewSchema, viewsOf, windowOf, windowQuery } from './log-entry-routes.ts'
import type { WebParts } from '../web-parts.ts'
import type { Routes } from './routes.ts'

const FEED_KINDS = [...LOG_KINDS, 'disposal'] as const
/** What one page shows; whoever wants more asks for an earlier time. */
const MOST_SHOWN = 500
/** Lines that an import names; the others are only counted. */
const MOST_NAMED = 200
const SAMPLE = 20
const tags = ['logbook']

const disposalViewSchema = disposalSchema.extend({
  kind: z.literal('disposal'),
  by: z.string().nullable(),
  corrections: z.int().nonnegative(),
})
const namedSchema = z.object({ id: z.string(), title: z.string() })
const feedSchema = z.object({
  entries: z.array(z.union([logViewSchema, disposalViewSchema])),
  /** There are older ones in the time asked for: ask for those before this, in ms; null when this is all. */
  moreBeforeMs: z.int().nullable(),
  machines: z.array(
    namedSchema.extend({
      heads: z.array(namedSchema.extend({ channelGroups: z.array(namedSchema.extend({ ink: z.string() })) })),
    }),
  ),
  rooms: z.array(namedSchema),
  bottles: z.array(namedSchema),
  site: namedSchema,
})

const importSchema = z.strictObject({
  kind: z.enum(LOG_KINDS),
  text: z
    .string()
    .max(MOST_CSV_CHARACTERS, { error: 'the file is longer than 5 million characters: cut it into several' }),
})
const badSchema = z.object({ line: z.int(), field: z.string(), reason: z.string() })
const planSchema = z.object({
  rows: z.int(),
  fresh: z.int(),
  known: z.int(),
  conflicts: z.int(),
  bad: z.int(),
  /** At most ${MOST_NAMED} of each. */
  conflictLines: z.array(badSchema),
  badLines: z.array(badSchema),
  ignored: z.array(z.string()),
  /** The first of those that would be new. */
  sample: z.array(saidEntrySchema),
})

/** The logbook as a page shows it, and entries brought from a file. */
export const logbookRoutes: Routes = async (app, parts) => {
  const { monitor, records } = parts
  app.get(
    '/logbook',
    {
      config: { permission: 'seeLogbook' },
      schema: {
        operationId: 'readLogbook',
        summary: `Everything in the logbook, the last first, at most ${MOST_SHOWN}; of one kind or machine where asked`,
        tags,
        querystring: z.strictObject({
          ...windowQuery,
          kind: z.enum(FEED_KINDS).optional(),
          limit: z.coerce.number().int().min(1).max(MOST_SHOWN).default(MOST_SHOWN),
        }),
        response: { 200: feedSchema, default: problemResponse },
      },
    },
    async ({ query: { kind, limit, ...query } }) => {
      const read = (part: LogWindow) => [
        ...entriesOf(records, part, kind),
        ...(kind === undefined || kind === 'disposal' ? disposalsOf(records, part, monitor.settings()) : []),
      ]
      const window = windowOf(query, monitor.nowMs())
      const { shown, moreBeforeMs } = lastPage({ window, limit, read, timeOf })
      return { entries: feedViews(shown, parts), moreBeforeMs, ...placesOf(monitor.settings()) }
    },
  )
  const planned = ({ kind, text }: z.infer<typeof importSchema>) =>
    planImport(kind, text, { records, settings: monitor.settings(), nowMs: monitor.nowMs() })
  app.post(
    '/logbook/import/preview',
    {
      config: { permission: 'importLogbook' },
      bodyLimit: 4 * MOST_CSV_CHARACTERS,
      schema: {
        operationId: 'previewLogImport',
        summary:
          'What an import of this CSV would do: what is new, known, in conflict, and each line that cannot be taken',
        tags,
        body: importSchema,
        response: { 200: planSchema, default: problemResponse },
      },
    },
    async ({ body }) => planViewOf(await planned(body)),
  )
  let lastImport: Promise<unknown> = Promise.resolve()
  app.post(
    '/logbook/import',
    {
      config: { permission: 'importLogbook' },
      bodyLimit: 4 * MOST_CSV_CHARACTERS,
      schema: {
        operationId: 'importLog',
        summary:
          'Takes what is new in this CSV; the same file again adds nothing. It tells nobody of anything',
        tags,
        body: importSchema,
        response: { 200: planSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      // One after the other, so that two of the same file at once are not both new.
      const work = lastImport.then(async () => {
        const plan = await planned(request.body)
        const act = actOf(request, monitor)
        for (let at = 0; at < plan.fresh.length; at += MOST_ENTRIES) {
          const entries = plan.fresh.slice(at, at + MOST_ENTRIES)
          const outcome = await monitor.submit({ type: 'logEntriesNoted', act, entries })
          if (!outcome.ok) return sendOutcome(reply, outcome)
        }
        return planViewOf(plan)
      })
      lastImport = work.catch(() => undefined)
      return work
    },
  )
}

type FeedEntry = LogEntry | (Disposal & { readonly kind: 'disposal' })

/** Each in its place: those of the logbook, and waste with who wrote it down and how often it was corrected. */
function feedViews(
  shown: readonly FeedEntry[],
  parts: Pick<WebParts, 'records' | 'accounts'>,
): z.infer<typeof feedSchema>['entries'] {
  const entries = shown.filter((e) => e.kind !== 'disposal')
  const waste = shown.filter((e) => e.kind === 'disposal')
  const [nextEntry, nextWaste] = [viewsOf(entries, parts).values(), disposalViews(waste, parts).values()]
  return shown.flatMap((e) => (e.kind === 'disposal' ? nextWaste : nextEntry).next().value ?? [])
}

function entriesOf(
  records: RecordsReader,
  window: LogWindow,
  kind: (typeof FEED_KINDS)[number] | undefined,
): readonly LogEntry[] {
  const of = {
    nozzleCheck: records.nozzleChecks,
    care: records.careEntries,
    note: records.notes,
    headChange: records.headChanges,
  }
  return LOG_KINDS.filter((k) => kind === undefined || kind === k).flatMap((k): readonly LogEntry[] =>
    of[k](window),
  )
}

function disposalsOf(records: RecordsReader, { fromMs, toMs, machineId }: LogWindow, { bottles }: Settings) {
  const drainsIt = (bottleId: string | null) =>
    machineId === undefined || bottles.some((b) => b.id === bottleId && b.machines.includes(machineId))
  return records
    .disposals({ fromMs, toMs, limit: Infinity })
    .filter((d) => drainsIt(d.bottleId))
    .map((d) => ({ ...d, kind: 'disposal' as const }))
}

function timeOf(entry: FeedEntry): number {
  return entry.kind === 'disposal' ? entry.disposedMs : logTimeOf(entry)
}

function placesOf({ site, rooms, machines, bottles }: Settings) {
  const named = ({ id, title }: { id: string; title: string }) => ({ id, title })
  return {
    machines: machines.map((m) => ({
      ...named(m),
      heads: m.heads.map((h) => ({
        ...named(h),
        channelGroups: h.channelGroups.map((g) => ({ ...named(g), ink: g.ink })),
      })),
    })),
    rooms: rooms.map(named),
    bottles: bottles.map(named),
    site: named(site),
  }
}

function planViewOf({ rows, fresh, known, conflicts, bad, ignored }: LogPlan): z.infer<typeof planSchema> {
  const some = (lines: readonly BadRow[]) => lines.slice(0, MOST_NAMED).map((line) => ({ ...line }))
  return {
    rows,
    fresh: fresh.length,
    known,
    conflicts: conflicts.length,
    bad: bad.length,
    conflictLines: some(conflicts),
    badLines: some(bad),
    ignored: [...ignored],
    sample: fresh.slice(0, SAMPLE),
  }
}
