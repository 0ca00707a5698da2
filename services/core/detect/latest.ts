import type { Reading } from '../model/input.ts'
import type { SensorBinding } from '../model/settings.ts'

/** The newest value of each sensor of a subject, in order of first appearance. Survives JSON. */
export type Latest = { sensorId: string; atMs: number; value: number }[]

export function noteLatest(latest: Latest, { sensorId, atMs, value }: Reading): void {
  const known = latest.find((l) => l.sensorId === sensorId)
  if (known) {
    known.atMs = atMs
    known.value = value
  } else {
    latest.push({ sensorId, atMs, value })
    latest.sort((a, b) => (a.sensorId < b.sensorId ? -1 : 1))
  }
}

/** Forgets sensors that are no longer bound. */
export function keepBound(latest: Latest, sensors: ReadonlyMap<string, SensorBinding>): void {
  for (let i = latest.length - 1; i >= 0; i--) {
    const id = latest[i]?.sensorId
    if (id !== undefined && !sensors.has(id)) latest.splice(i, 1)
  }
}

/** Mean of the values that are not older than `validForMs` at `atMs`; the newest reading itself always counts. */
export function meanOfValid(latest: Latest, atMs: number, validForMs: number): number {
  let sum = 0
  let count = 0
  for (const l of latest) {
    if (atMs - l.atMs > validForMs) continue
    sum += l.value
    count++
  }
  return sum / count
}
