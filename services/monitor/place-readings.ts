import type { Reading } from '../core/model/input.ts'
import type { PlacedReading } from '../core/model/ports/history.ts'
import type { Settings } from '../core/model/settings.ts'

/** Says of readings what they belonged to under the settings that held when they were taken in. */
export function createPlacer(settings: Settings): (nodeId: string, reading: Reading) => PlacedReading {
  const subjects = new Map(settings.sensors.map((s) => [s.id, s.subject]))
  const rooms = new Map(settings.machines.map((m) => [m.id, m.room]))
  const roomOf = (subject: PlacedReading['subject']): string | null => {
    if (subject?.kind === 'room') return subject.id
    if (subject?.kind === 'machine') return rooms.get(subject.id) ?? null
    const served =
      settings.bottles.find((b) => subject?.kind === 'bottle' && b.id === subject.id)?.machines ?? []
    const its = new Set(served.map((id) => rooms.get(id)))
    return its.size === 1 ? ([...its][0] ?? null) : null
  }
  return (nodeId, reading) => {
    const subject = subjects.get(reading.sensorId) ?? null
    return { ...reading, siteId: settings.site.id, nodeId, subject, roomId: roomOf(subject) }
  }
}
