import { z } from 'zod'
import { powerBandsSchema } from '../../core/model/learned/power-bands.ts'
import { nameSchema } from '../../core/model/name.ts'
import { machineSchema } from '../../core/model/settings.ts'
import { problemResponse, sendNotFound } from '../problem.ts'
import { bandsInForce, learnedBandsOf, powerColumns } from '../power-picture.ts'
import type { Routes } from './routes.ts'

const DAY_MS = 86_400_000
const MINUTE_MS = 60_000
/** A week holds an ordinary week's work; a starting value. */
const SHOWN_MS = 7 * DAY_MS
const rangeSchema = z.tuple([z.number(), z.number()]).readonly().nullable()

/** What a machine's meter saw, and how that is told apart. */
export const powerRoutes: Routes = async (app, { monitor, records }) => {
  app.get(
    '/machines/:id/power',
    {
      config: { permission: 'seeLearned' },
      schema: {
        operationId: 'readPowerPicture',
        summary: 'Minutes by power drawn over the last seven days, and the bands that tell them apart',
        tags: ['learned'],
        params: z.strictObject({ id: nameSchema }),
        response: {
          200: z.object({
            fromMs: z.int(),
            toMs: z.int(),
            columns: z.array(z.object({ fromW: z.number(), toW: z.number(), minutes: z.int() })),
            inForce: z.object({
              meterId: z.string().nullable(),
              from: z.enum(['learned', 'told', 'startingValues']),
              offBelowW: z.number(),
              standbyTopW: z.number().nullable(),
              cleaningW: rangeSchema,
              printingW: rangeSchema,
            }),
            learned: powerBandsSchema.nullable(),
            waiting: powerBandsSchema.nullable(),
            told: machineSchema.shape.powerBandsW.unwrap().nullable(),
          }),
          default: problemResponse,
        },
      },
    },
    async ({ params: { id } }, reply) => {
      const settings = monitor.settings()
      const machine = settings.machines.find((m) => m.id === id)
      if (!machine) return sendNotFound(reply, `id: there is no machine ${id}; reload the list`)
      const { inForce, waiting } = monitor.learned()
      const bands = bandsInForce(machine, settings, inForce)
      const toMs = monitor.nowMs()
      const range = { fromMs: toMs - SHOWN_MS, toMs, bucketMs: MINUTE_MS }
      const { meterId } = bands
      return {
        fromMs: range.fromMs,
        toMs,
        columns: meterId === null ? [] : powerColumns(records.series({ sensorId: meterId, quantity: 'power', ...range })),
        inForce: bands,
        learned: learnedBandsOf(id, inForce),
        waiting: learnedBandsOf(id, waiting),
        told: machine.powerBandsW ?? null,
      }
    },
  )
} // prettier-ignore
