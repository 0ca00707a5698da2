import { HttpError, InfluxDB } from '@influxdata/influxdb-client'
import { HistoryRefusedError, type HistoryWriter } from '../../core/model/ports/history.ts'
import { toPoint } from './to-points.ts'

export interface InfluxParts {
  readonly url: string
  readonly org: string
  readonly bucket: string
  readonly token: string
  readonly timeoutMs?: number
}

/** What of a write is wrong in itself, and will be wrong tomorrow. Anything else, such as 401 or 404, an owner can mend. */
const REFUSED = [400, 413, 422]

/**
 * Writes through the v2 write API, which 1.8, 2.x and 3.x serve. One call is one request: the client sends a batch that
 * is full by itself and nobody can wait for that, so the batch here is never full before it is flushed.
 */
export function createInfluxWriter({
  url,
  org,
  bucket,
  token,
  timeoutMs = 10_000,
}: InfluxParts): HistoryWriter {
  const influx = new InfluxDB({ url, token, timeout: timeoutMs })
  return {
    write: async (readings) => {
      if (readings.length === 0) return
      let failure: Error | null = null
      const api = influx.getWriteApi(org, bucket, 'ms', {
        batchSize: readings.length + 1,
        maxBatchBytes: Number.MAX_SAFE_INTEGER,
        flushInterval: 0,
        maxRetries: 0,
        // The client logs failures by itself, and forgets them; who called must hear of it instead.
        writeFailed: async (error) => void (failure = error),
      })
      try {
        api.writePoints(readings.map(toPoint))
        await api.flush()
      } catch (error) {
        failure ??= error instanceof Error ? error : new Error(String(error))
      } finally {
        await api.close().catch(() => undefined)
      }
      if (failure !== null) throw told(failure)
    },
  }
}

function told(failure: Error): Error {
  if (!(failure instanceof HttpError)) return failure
  const text = `InfluxDB answered ${failure.statusCode}: ${failure.message}`
  return REFUSED.includes(failure.statusCode)
    ? new HistoryRefusedError(text, { cause: failure })
    : new Error(text, { cause: failure })
}
