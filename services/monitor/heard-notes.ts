import type { JudgedReadings } from '../core/model/ports/ingest.ts'
import type { HeardSensorNote } from '../core/model/ports/records.ts'

/** Gathers what was heard in one commit: one note a sensor, whatever the number of its readings. */
export function createHeardNotes(): {
  note: (readings: JudgedReadings, receivedMs: number) => void
  notes: () => readonly HeardSensorNote[]
} {
  const bySensor = new Map<string, HeardSensorNote>()
  return {
    note: ({ nodeId, readings, intervalMsOf }, receivedMs) => {
      for (const { sensorId, quantity, atMs, value } of readings) {
        const known = bySensor.get(sensorId)
        const newest = !known || atMs >= known.atMs
        bySensor.set(sensorId, {
          sensorId,
          nodeId,
          quantity,
          atMs: newest ? atMs : known.atMs,
          value: newest ? value : known.value,
          receivedMs,
          intervalMs: intervalMsOf.get(sensorId) ?? known?.intervalMs ?? null,
          readings: (known?.readings ?? 0) + 1,
        })
      }
    },
    notes: () => [...bySensor.values()],
  }
}
