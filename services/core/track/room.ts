import type { Reading } from '../model/input.ts'
import { keepBound, meanOfValid, noteLatest, type Latest } from './latest.ts'
import type { SubjectContext, TrackedFacts, Tracker } from './tracker.ts'

/** The air of a room, as far as its sensors tell. */
export interface AirFacts extends TrackedFacts {
  humidity: Latest
  temperature: Latest
  /** Mean of the humidity sensors that still spoke at the last humidity reading; null before the first. */
  humidityPct: number | null
  temperatureC: number | null
}

export function initialAir(): AirFacts {
  return { atMs: null, humidity: [], temperature: [], humidityPct: null, temperatureC: null }
}

/**
 * AIR-1 several sensors of a quantity are averaged; one that has fallen silent is left out.
 * AIR-2 a room whose last sensor of a quantity was taken away has no known value of it.
 */
export function noteAir(facts: AirFacts, reading: Reading, context: SubjectContext): void {
  if (reading.quantity === 'humidity') {
    noteLatest(facts.humidity, reading)
    facts.humidityPct = meanOfValid(facts.humidity, reading.atMs, context)
  } else if (reading.quantity === 'temperature') {
    noteLatest(facts.temperature, reading)
    facts.temperatureC = meanOfValid(facts.temperature, reading.atMs, context)
  }
}

export function keepAirBound(facts: AirFacts, context: SubjectContext): void {
  keepBound(facts.humidity, context)
  keepBound(facts.temperature, context)
  if (facts.humidity.length === 0) facts.humidityPct = null
  if (facts.temperature.length === 0) facts.temperatureC = null
}

export const roomTracker: Tracker<AirFacts> = {
  initial: initialAir,
  onReading: (facts, reading, context) => {
    noteAir(facts, reading, context)
    facts.atMs = reading.atMs
  },
  onOrder: (facts, order, context) => {
    keepAirBound(facts, context)
    facts.atMs = order.atMs
  },
  deadlineMs: () => Infinity,
  onDeadline: () => undefined,
}
