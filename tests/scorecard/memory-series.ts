import type { Reading } from '../../services/core/model/input.ts'
import type { RecordsReader, SeriesPoint } from '../../services/core/model/ports/records.ts'

/** The readings of a shop-month in memory, told in buckets as the book of record tells them (RR-5). */
export interface MemorySeries {
  /** In order of time. */
  readonly keep: (reading: Pick<Reading, 'sensorId' | 'atMs' | 'value'>) => void
  readonly series: RecordsReader['series']
}

interface Line {
  readonly atMs: number[]
  readonly values: number[]
}

export function createMemorySeries(): MemorySeries {
  const lines = new Map<string, Line>()
  return {
    keep: ({ sensorId, atMs, value }) => {
      let line = lines.get(sensorId)
      if (!line) lines.set(sensorId, (line = { atMs: [], values: [] }))
      line.atMs.push(atMs)
      line.values.push(value)
    },
    series: ({ sensorId, fromMs, toMs, bucketMs }) => {
      const line = lines.get(sensorId)
      if (!line) return []
      const points: SeriesPoint[] = []
      for (let i = firstFrom(line.atMs, fromMs); i < line.atMs.length;) {
        const bucket = Math.floor((line.atMs[i] ?? 0) / bucketMs) * bucketMs
        let [min, max, sum, last, count] = [Infinity, -Infinity, 0, 0, 0]
        for (; i < line.atMs.length && (line.atMs[i] ?? 0) < Math.min(bucket + bucketMs, toMs); i++) {
          last = line.values[i] ?? 0
          min = Math.min(min, last)
          max = Math.max(max, last)
          sum += last
          count++
        }
        if (count === 0) return points
        points.push({ atMs: bucket, min, mean: sum / count, max, last })
      }
      return points
    },
  }
}

/** The first that is not before `fromMs`. */
function firstFrom(times: readonly number[], fromMs: number): number {
  let low = 0
  let high = times.length
  while (low < high) {
    const half = (low + high) >> 1
    if ((times[half] ?? Infinity) < fromMs) low = half + 1
    else high = half
  }
  return low
}
