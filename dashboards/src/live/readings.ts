import type { LiveReading } from '../strip/live-tail.ts'

/** The readings of a `latest` event; what has not their form is left out. */
export function readingsOf(data: unknown): readonly LiveReading[] {
  const list = isRecord(data) && Array.isArray(data['readings']) ? (data['readings'] as unknown[]) : []
  return list.filter(isReading)
}

function isReading(reading: unknown): reading is LiveReading {
  return (
    isRecord(reading) &&
    typeof reading['sensorId'] === 'string' &&
    typeof reading['quantity'] === 'string' &&
    Number.isFinite(reading['atMs']) &&
    Number.isFinite(reading['value'])
  )
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null
}
