import type { SubjectContext } from '../track/tracker.ts'
import type { AirFacts } from '../track/room.ts'

/** The room's value of a quantity; null where nobody measures it, and for the air outside, which is never judged. */
export function indoors(quantity: 'humidity' | 'temperature') {
  return (facts: AirFacts, { subject, settings }: SubjectContext): number | null => {
    for (const room of settings.rooms) if (room.id === subject.id && room.outdoors) return null
    return quantity === 'humidity' ? facts.humidityPct : facts.temperatureC
  }
}
