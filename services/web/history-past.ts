import { z } from 'zod'
import { gridOver, reachOf } from '../core/advise/history/grid.ts'
import { historyView } from '../core/advise/history/history.ts'
import type { HistoryView } from '../core/model/history-view.ts'
import { nameSchema } from '../core/model/name.ts'
import { QUARTER_MS } from '../core/model/quarter.ts'
import { READINGS_KEPT_MS } from '../core/model/readings-kept.ts'
import type { Bottle, Machine, Room, SensorBinding, Settings } from '../core/model/settings.ts'
import { bucketWidthMs } from './routes/series.ts'
import type { WebParts } from './web-parts.ts'

const MOST = 10
const MINUTE_MS = 60_000
const YEAR_9999_MS = Date.UTC(9999, 11, 31)
const NOT_A_TIME = 'write a time in ms since 1970, such as 1767225600000'

const atMsSchema = z.coerce
  .number({ error: NOT_A_TIME })
  .pipe(
    z.int({ error: NOT_A_TIME }).nonnegative({ error: NOT_A_TIME }).max(YEAR_9999_MS, { error: NOT_A_TIME }),
  )

/** Ids with commas between. */
function idsSchema(noun: string) {
  return z
    .string()
    .max(1000)
    .transform((text) => text.split(',').filter((id) => id !== ''))
    .pipe(z.array(nameSchema).max(MOST, { error: `name at most ${MOST} ${noun}` }))
    .optional()
}

/** With nothing named: all machines, up to ten, with their rooms and bottles. */
export const historyQuerySchema = z
  .strictObject({
    from: atMsSchema,
    to: atMsSchema,
    points: z.coerce.number().pipe(z.int().min(10).max(2000)).default(500),
    machines: idsSchema('machines'),
    rooms: idsSchema('rooms'),
    bottles: idsSchema('bottles'),
  })
  .refine((q) => q.from < q.to, { path: ['to'], error: 'must be later than from' })
export type HistoryQuery = z.infer<typeof historyQuerySchema>

interface Chosen {
  readonly machines: readonly Machine[]
  readonly rooms: readonly Room[]
  readonly bottles: readonly Bottle[]
}
export type Past =
  { readonly ok: true; readonly view: HistoryView } | { readonly ok: false; readonly reason: string }

/** What it is told from. */
export interface PastParts extends Pick<WebParts, 'records' | 'past'> {
  readonly monitor: Pick<WebParts['monitor'], 'settings' | 'nowMs'>
}

/** The past that a query asks for; not ok when it names what is not there. */
export async function pastOf(query: HistoryQuery, { monitor, records, past }: PastParts): Promise<Past> {
  const settings = monitor.settings()
  const nowMs = monitor.nowMs()
  const stranger = strangerIn(query, settings)
  if (stranger !== null) return { ok: false, reason: stranger }
  const window = { fromMs: query.from, toMs: query.to }
  // Of minutes older than that there are records, but no readings within them.
  const leastMs = query.from < nowMs - READINGS_KEPT_MS ? MINUTE_MS : 1
  const widthMs = Math.max(leastMs, bucketWidthMs(query.to - query.from, query.points))
  const readings = gridOver(window, widthMs)
  const quarters = gridOver(window, Math.max(widthMs, QUARTER_MS))
  const chosen = chosenIn(query, settings)
  const told = await seriesOf(sensorsOf(chosen, settings), { ...reachOf(readings), bucketMs: widthMs }, past)
  const view = historyView({
    ...window,
    nowMs,
    settings,
    ...chosen,
    readings,
    quarters,
    series: (sensorId) => told.get(sensorId)?.points ?? [],
    sourceNotes: [...new Set([...told.values()].flatMap(({ note }) => note ?? []))],
    stretchesOf: (machineId) =>
      records.machineStretches({ machineId, ...reachOf(quarters), widthMs: quarters.widthMs }),
    episodes: records.episodes(window),
    tasks: records.tasksEnded(window),
    logged: {
      checks: records.nozzleChecks(window),
      cares: records.careEntries(window),
      headChanges: records.headChanges(window),
      notes: records.notes(window),
    },
    beginsMs: records.recordBeginsMs(),
  })
  return { ok: true, view }
}

/** The sensors whose readings are drawn. */
function sensorsOf({ rooms, bottles }: Chosen, { sensors }: Settings): SensorBinding[] {
  const ids = {
    room: new Set(rooms.map((r) => r.id)),
    bottle: new Set(bottles.map((b) => b.id)),
  }
  return sensors.filter(
    ({ subject: { kind, id } }) => (kind === 'room' || kind === 'bottle') && ids[kind].has(id),
  )
}

async function seriesOf(
  sensors: readonly SensorBinding[],
  window: { fromMs: number; toMs: number; bucketMs: number },
  past: WebParts['past'],
): Promise<Map<string, Awaited<ReturnType<WebParts['past']['series']>>>> {
  const told = sensors.map(
    async ({ id, quantity }) => [id, await past.series({ sensorId: id, quantity, ...window })] as const,
  )
  return new Map(await Promise.all(told))
}

function strangerIn(query: HistoryQuery, settings: Settings): string | null {
  for (const list of ['machines', 'rooms', 'bottles'] as const) {
    const stranger = query[list]?.find((id) => !settings[list].some((thing) => thing.id === id))
    if (stranger !== undefined)
      return `${list}: there is no ${list.slice(0, -1)} ${stranger}; see the settings for those there are`
  }
  return null
}

function chosenIn({ machines, rooms, bottles }: HistoryQuery, settings: Settings): Chosen {
  if (machines === undefined && rooms === undefined && bottles === undefined) {
    const all = settings.machines.slice(0, MOST)
    return {
      machines: all,
      rooms: settings.rooms.filter((r) => all.some((m) => m.room === r.id)),
      bottles: settings.bottles.filter((b) => all.some((m) => b.machines.includes(m.id))),
    }
  }
  const named = <T extends { id: string }>(things: readonly T[], ids: readonly string[] = []): T[] =>
    things.filter((thing) => ids.includes(thing.id))
  return {
    machines: named(settings.machines, machines),
    rooms: named(settings.rooms, rooms),
    bottles: named(settings.bottles, bottles),
  }
}
