import type { Reading } from '../../services/core/model/input.ts'

/** What the scale reads at an instant, in kg; time in ms since the beginning of the signal. */
export type Signal = (sinceMs: number) => number

export const SECOND = 1000
export const MINUTE = 60_000
export const HOUR = 3_600_000
export const DAY = 86_400_000
/** Monday 2 March 2026, 00:00 in Brussels. */
export const MONDAY_MS = Date.UTC(2026, 2, 1, 23)
export const SCALE = 'bench/bottle'

/** Readings of a signal at a cadence, each rounded to the tenth of a gram that amplifiers send. */
export function* readingsOf(
  signal: Signal,
  { fromMs = MONDAY_MS, forMs, everyMs }: { fromMs?: number; forMs: number; everyMs: number },
): Generator<Reading> {
  for (let since = 0; since <= forMs; since += everyMs) {
    const value = Math.round(signal(since) * 10_000) / 10_000
    yield { sensorId: SCALE, quantity: 'mass', atMs: fromMs + since, value }
  }
}

/** The sum of signals. */
export function together(...signals: readonly Signal[]): Signal {
  return (since) => signals.reduce((sum, s) => sum + s(since), 0)
}

/** `kg` from `fromMs` until `toMs`. */
export function during(fromMs: number, toMs: number, kg: number): Signal {
  return (since) => (since >= fromMs && since < toMs ? kg : 0)
}

/** Waste of `kg` that runs in within three minutes, every `everyMs`. */
export function purges(everyMs: number, kg: number): Signal {
  return (since) => {
    const whole = Math.floor(since / everyMs)
    const part = Math.min(1, (since - whole * everyMs) / (3 * MINUTE))
    return kg * (whole - 1 + part)
  }
}

/** A load that was not there before: a class C3 cell of 5 kg creeps by 1.225 g in 30 min (OIML R 60-1:2021, 5.5.1). */
export function creep(fromMs: number, toKg = 0.001225): Signal {
  return (since) => (since < fromMs ? 0 : toKg * (1 - Math.exp(-(since - fromMs) / (10 * MINUTE))))
}

/** Zero drift of a 5 kg C3 cell, 0.35 g in 5 degC (OIML R 60-1:2021, 5.6.1.3), in a room that swings by `swingK` a day. */
export function roomSwing(swingK: number): Signal {
  return (since) => (0.00035 / 5) * (swingK / 2) * Math.sin((2 * Math.PI * since) / DAY)
}

/** Even noise of an amplifier, the same for the same instant: no chance in it. */
export function noise(kg: number): Signal {
  return (since) => {
    const x = Math.sin(since * 0.0127 + 3.1) * 43_758.5453
    return kg * 2 * (x - Math.floor(x) - 0.5)
  }
}
