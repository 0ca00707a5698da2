import { Counter, Gauge, Histogram, Registry, type OpenMetricsContentType } from 'prom-client'
import type { Monitor } from '../core/model/ports/monitor.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { EventStreams } from './event-stream.ts'

export interface Metrics {
  readonly contentType: string
  /** All metrics as OpenMetrics text. */
  readonly text: () => Promise<string>
  /** Counts an answered request. `route` is the route's pattern, so that ids in paths make no new series. */
  readonly answered: (request: { method: string; route: string; status: number; seconds: number }) => void
}

export interface MetricsParts {
  readonly monitor: Pick<Monitor, 'health' | 'readingsWaiting'>
  readonly records: Pick<RecordsReader, 'counts' | 'openAlarms' | 'lastEventId'>
  readonly streams: Pick<EventStreams, 'count'>
}

/** The monitor's own health for a metrics collector, in a registry of its own. */
export function createMetrics({ monitor, records, streams }: MetricsParts): Metrics {
  const registry = new Registry<OpenMetricsContentType>()
  registry.setContentType(Registry.OPENMETRICS_CONTENT_TYPE)
  const registers = [registry]
  const count = (name: string, help: string, read: () => number): void => {
    new Counter({
      // The writer puts `_total` behind the name, as OpenMetrics wants it.
      name: `nightcap_${name}`,
      help,
      registers,
      collect() {
        this.reset()
        this.inc(read())
      },
    })
  }
  const gauge = (name: string, help: string, read: () => number): void => {
    new Gauge({
      name: `nightcap_${name}`,
      help,
      registers,
      collect() {
        this.set(read())
      },
    })
  }
  count('inputs', 'Inputs on the log', () => records.counts().inputs)
  count('readings', 'Readings stored', () => records.counts().readings)
  count(
    'readings_conflicting',
    'Readings kept apart: same sensor and time, another value',
    () => records.counts().conflicts,
  )
  count('readings_not_judged', 'Readings that came too late to be judged', () => records.counts().notJudged)
  count('quarantined', 'Messages that could not be used', () => records.counts().quarantined)
  count('events', 'Events recorded for screens', () => records.lastEventId())
  gauge('alarms_open', 'Alarms that are not normal', () => records.openAlarms().length)
  gauge('readings_waiting_for_history', 'Readings not yet handed on to InfluxDB', () =>
    monitor.readingsWaiting(),
  )
  gauge('event_streams_open', 'Screens and programs that listen', () => streams.count())
  gauge('healthy', '1 when the monitor itself is well', () => (monitor.health().ok ? 1 : 0))
  gauge('resident_memory_bytes', 'Memory of the process', () => process.memoryUsage.rss())
  gauge('up_seconds', 'Seconds since the process started', () => process.uptime())
  const requests = new Histogram({
    name: 'nightcap_http_request_seconds',
    help: 'Time to answer a request',
    labelNames: ['method', 'route', 'status'],
    buckets: [0.005, 0.02, 0.1, 0.5, 2],
    registers,
  })
  return {
    contentType: registry.contentType,
    text: () => registry.metrics(),
    answered: ({ method, route, status, seconds }) => requests.observe({ method, route, status }, seconds),
  }
}
