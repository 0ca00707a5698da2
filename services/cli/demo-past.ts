import type { NodeSamples } from '../../sensors/simulator/sampling.ts'
import type { SimulatedShop } from '../../sensors/simulator/create-shop.ts'
import type { PastPack } from '../monitor/backfill.ts'

const HOUR_MS = 3_600_000
const COARSE_MS = 120_000
/** Of what lies before the strip, every other measurement is enough, and the start twice as quick. */
const SPARSE_MS = 240_000
const FINE_MS = 30_000
/** What the board's strip shows is made finer than what lies before it. */
const FINE_LAST_MS = 13 * HOUR_MS

/** The shop's past as packs in order of arrival, an hour at a time, so that no more than that is in memory. */
export function* pastPacks(
  shop: SimulatedShop,
  { fromMs, throughMs }: { fromMs: number; throughMs: number },
): Iterable<PastPack> {
  for (let atMs = fromMs; atMs < throughMs;) {
    atMs = Math.min(atMs + HOUR_MS, throughMs)
    const fine = atMs > throughMs - FINE_LAST_MS
    shop.advanceTo(atMs, { cadenceMs: fine ? FINE_MS : COARSE_MS })
    yield* shop
      .takeSamples()
      .flatMap(packsOf)
      .filter(({ receivedMs }) => fine || receivedMs % SPARSE_MS === 0)
      .sort((a, b) => a.receivedMs - b.receivedMs)
  }
}

/** One pack for each moment at which the node measured. */
function packsOf({ nodeId, samples }: NodeSamples): PastPack[] {
  const byMoment = new Map<number, PastPack['readings'][number][]>()
  for (const { channel, quantity, value, atMs } of samples) {
    const readings = byMoment.get(atMs) ?? []
    readings.push({ sensorId: `${nodeId}/${channel}`, quantity, atMs, value: Number(value) })
    byMoment.set(atMs, readings)
  }
  return [...byMoment].map(([receivedMs, readings]) => ({
    nodeId,
    receivedMs,
    readings: readings.sort((a, b) => (a.sensorId < b.sensorId ? -1 : 1)),
  }))
}
