import type { Reading } from '../../services/core/model/input.ts'

export const YEAR_MS = 365 * 86_400_000
export const EVERY_MS = 10_000
/** As many points as a chart has. */
export const POINTS = 1_500

/** Readings of a year of one series, every ten seconds. */
export function yearOf(from: number, count: number): Reading[] {
  return Array.from({ length: count }, (_, i) => ({
    sensorId: 'room/humidity',
    quantity: 'humidity' as const,
    atMs: (from + i) * EVERY_MS,
    value: 45 + 10 * Math.sin((from + i) / 5000) + ((from + i) % 7) / 10,
  }))
}

export function medianMs(took: readonly number[]): number {
  return [...took].sort((a, b) => a - b)[Math.floor(took.length / 2)] ?? NaN
}

/** How long `work` took, the median of so many times. */
export function timesMs(times: number, work: () => unknown): number {
  return medianMs(
    Array.from({ length: times }, () => {
      const startedMs = performance.now()
      work()
      return performance.now() - startedMs
    }),
  )
}
