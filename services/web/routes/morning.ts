import { z } from 'zod'
import { morningView, type MorningWord } from '../../core/advise/morning.ts'
import { recentNights, type Night } from '../../core/advise/morning-nights.ts'
import { morningViewSchema } from '../../core/model/morning.ts'
import { openingCalendar } from '../../core/model/opening-hours.ts'
import type { Settings } from '../../core/model/settings.ts'
import { nameOfActor } from '../actor-name.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome } from '../problem.ts'
import type { WebParts } from '../web-parts.ts'
import type { Routes } from './routes.ts'

const tags = ['morning']
const BUCKET_MS = 5 * 60_000
const EARLIER_SHOWN = 14
const MOST_TASKS = 200
const MOST_ATTEMPTS = 500
/** Words that call nobody. */
const NO_CALL = /^(morningReport|closingReminder|test)\|/

/** What the night did, and that somebody saw it. */
export const morningRoutes: Routes = async (app, parts) => {
  const { monitor, records } = parts
  app.get(
    '/morning',
    {
      config: { permission: 'seeTasks' },
      schema: {
        operationId: 'readMorning',
        summary: 'What happened while the shop was closed: the last night, or the one that began on a day',
        tags,
        querystring: z.strictObject({ night: z.iso.date().optional() }),
        response: { 200: morningViewSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { night: wanted } = request.query
      // One now for all of it: a night that runs ends at it.
      const nowMs = monitor.nowMs()
      const nights = recentNights(openingCalendar(monitor.settings()), nowMs)
      const night = wanted === undefined ? nights[0] : nights.find((n) => n.date === wanted)
      if (!night)
        return sendNotFound(
          reply,
          wanted === undefined
            ? 'the shop was not closed for four hours in the last three weeks: look at the alarms instead'
            : `night: no closed period of the last three weeks began on ${wanted}; give a day from the list of earlier nights`,
        )
      const earlier = nights.map((n) => n.date).slice(0, EARLIER_SHOWN)
      return morningView({ ...materialOf(parts, night), nowMs, earlier })
    },
  )
  app.post(
    '/morning/seen',
    {
      config: { permission: 'acknowledgeAlarms' },
      schema: {
        operationId: 'seeMorning',
        summary: 'Say that you saw all that is over by now',
        tags,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      for (const { id, state } of records.openAlarms()) {
        if (state !== 'returnedUnacknowledged') continue
        const outcome = await monitor.submit({ type: 'alarmAcknowledged', act, alarmId: id })
        // Somebody else was quicker, or it is back: what is left is still to be seen.
        if (!outcome.ok && outcome.code === 'invalid') return sendOutcome(reply, outcome)
      }
      return reply.code(204).send()
    },
  )
}

function materialOf(parts: WebParts, night: Night) {
  const { monitor, records } = parts
  const settings = monitor.settings()
  const { fromMs, toMs } = night
  const changes = records.alarmChanges({ fromMs, toMs })
  const ids = new Set([...changes.map((c) => c.alarmId), ...records.openAlarms().map((a) => a.id)])
  const alarms = [...ids].flatMap((id) => records.alarm(id) ?? [])
  return {
    settings,
    night,
    episodes: records.episodes({ fromMs, toMs }),
    alarms,
    told: toldIn(parts, night, settings),
    answered: alarms.flatMap(({ id, acknowledged }) =>
      acknowledged && acknowledged.atMs >= fromMs && acknowledged.atMs < toMs
        ? [{ alarmId: id, atMs: acknowledged.atMs, name: nameOfActor(acknowledged.actorId, parts.accounts) }]
        : [],
    ),
    openTasks: records.tasks({ states: ['open'], limit: MOST_TASKS }),
    bucketMs: BUCKET_MS,
    series: new Map(
      settings.sensors
        .filter(({ quantity }) => quantity === 'humidity' || quantity === 'mass')
        .map(({ id, quantity }) => [
          id,
          records.series({ sensorId: id, quantity, fromMs, toMs, bucketMs: BUCKET_MS }),
        ]),
    ),
    quarters: new Map(
      settings.machines.map(({ id }) => [id, records.machineQuarters({ machineId: id, fromMs, toMs })]),
    ),
  }
}

/** Who was told in that night: of each notice the first try that a channel took. */
function toldIn({ telling }: WebParts, { fromMs, toMs }: Night, { contacts }: Settings): MorningWord[] {
  const first = new Map<string, MorningWord>()
  for (const { atMs, noticeKey, contactId, outcome } of telling.attempts(MOST_ATTEMPTS)) {
    if (outcome !== 'taken' || atMs < fromMs || atMs >= toMs || NO_CALL.test(noticeKey)) continue
    // Newest first: the last one set is the first try.
    first.set(noticeKey, { atMs, name: contacts.find((c) => c.id === contactId)?.title ?? null })
  }
  return [...first.values()]
}
