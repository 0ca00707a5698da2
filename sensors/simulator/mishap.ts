import type { Draw } from './draw.ts'
import type { Incident } from './incident.ts'
import type { Range } from './plan-ranges.ts'

const HOUR = 3_600_000

/** Something that befalls a subject: one incident or several that belong together, and when all is over. */
export interface Mishap {
  readonly incidents: readonly Incident[]
  readonly overMs: number
}

/** What may befall one subject; each with a weight. */
export type Mishaps = readonly { readonly weight: number; readonly at: (fromMs: number) => Mishap }[]

/** An incident of one kind, for so long; the usual mishap. */
export function lasting(
  kind: Incident['kind'],
  subjectId: string,
  time: { readonly fromMs: number; readonly forMs: number },
  value?: number,
): Mishap {
  const toMs = Math.round(time.fromMs + time.forMs)
  const told = { kind, subjectId, fromMs: time.fromMs, toMs, ...(value === undefined ? {} : { value }) }
  return { incidents: [told], overMs: toMs }
}

/** A sensor dies in one of five ways: silent, stuck, running away, throwing garbage, at the end of its range. */
export function sensorMishaps(
  sensorId: string,
  draw: Draw,
  { driftADay, rails }: { readonly driftADay: Range; readonly rails: readonly number[] },
): Mishaps {
  const during = (fromMs: number, hours: Range) => ({ fromMs, forMs: draw.logWithin(hours) * HOUR })
  const sign = (): number => (draw.happens(0.5) ? 1 : -1)
  return [
    { weight: 1, at: (fromMs) => lasting('sensorSilent', sensorId, during(fromMs, [0.1, 24])) },
    { weight: 1, at: (fromMs) => lasting('sensorStuck', sensorId, during(fromMs, [4, 72])) },
    {
      weight: 1,
      at: (fromMs) =>
        lasting('sensorDrifts', sensorId, during(fromMs, [24, 96]), sign() * draw.within(driftADay)),
    },
    {
      weight: 1,
      at: (fromMs) => lasting('sensorSpikes', sensorId, during(fromMs, [0.5, 12]), draw.within([0.05, 0.5])),
    },
    {
      weight: 1,
      at: (fromMs) => lasting('sensorAtRail', sensorId, during(fromMs, [0.5, 24]), draw.pick(rails)),
    },
  ]
}
