import type { PowerSample } from '../../../../../services/core/learn/power-segments.ts'
import type { Learned } from '../../../../../services/core/model/learned.ts'
import { learnedKey } from '../../../../../services/core/model/learned.ts'
import { settingsSchema, type Settings } from '../../../../../services/core/model/settings.ts'
import {
  initialPower,
  stepPower,
  type PowerChange,
  type PowerFacts,
} from '../../../../../services/core/track/power.ts'
import { powerRuleIn } from '../../../../../services/core/track/power-rule.ts'
import type { SubjectContext } from '../../../../../services/core/track/tracker.ts'
import { subjectContext } from '../../../../parts/subject-run.ts'

export const SECOND = 1000
export const MINUTE = 60 * SECOND
export const HOUR = 60 * MINUTE
/** A Monday. */
export const START = Date.parse('2026-03-02T00:00:00Z')

export type Draw = readonly [atMs: number, powerW: number]
/** What the machine draws at an instant. */
export type Load = (atMs: number) => number

/** Levels by stretches of time, in order: [seconds, W]. Before and after them the machine draws nothing. */
export function inTurn(...stretches: readonly (readonly [seconds: number, powerW: number])[]): Load {
  return (atMs) => {
    let untilMs = START
    for (const [seconds, powerW] of stretches) {
      untilMs += seconds * SECOND
      if (atMs <= untilMs) return powerW
    }
    return 0
  }
}

/** A meter that gives the mean of each interval, as most do: a value every two seconds, averaged. */
export function metered(load: Load, toMs: number, intervalMs: number): Draw[] {
  const draws: Draw[] = []
  for (let atMs = START + intervalMs; atMs <= toMs; atMs += intervalMs) {
    let sum = 0
    const steps = Math.max(1, Math.min(30, intervalMs / (2 * SECOND)))
    for (let i = 0; i < steps; i++) sum += load(atMs - (i * intervalMs) / steps)
    draws.push([atMs, Math.round((sum / steps) * 10) / 10])
  }
  return draws
}

/** The same meter, reporting the mean of `times` of its readings. */
export function chopped(draws: readonly Draw[], times: number): Draw[] {
  const out: Draw[] = []
  for (let i = times - 1; i < draws.length; i += times) {
    const own = draws.slice(i - times + 1, i + 1)
    out.push([own.at(-1)?.[0] ?? 0, own.reduce((sum, [, w]) => sum + w, 0) / times])
  }
  return out
}

/** One-minute records. */
export function minuteSamples(draws: readonly Draw[]): PowerSample[] {
  const minutes = new Map<number, number[]>()
  for (const [atMs, powerW] of draws) {
    const endMs = Math.ceil(atMs / MINUTE) * MINUTE
    const own = minutes.get(endMs)
    if (own) own.push(powerW)
    else minutes.set(endMs, [powerW])
  }
  return [...minutes].map(([atMs, all]) => ({
    atMs,
    meanW: all.reduce((sum, w) => sum + w, 0) / all.length,
    minW: Math.min(...all),
    maxW: Math.max(...all),
  }))
}

export interface MeteredOptions {
  readonly machine?: Record<string, unknown>
  readonly contact?: boolean
  readonly meter?: boolean
  readonly learned?: readonly Learned[]
  readonly intervalMs?: number
}

export function meteredSettings({
  machine = {},
  contact = false,
  meter = true,
  intervalMs,
}: MeteredOptions): Settings {
  const subject = { kind: 'machine', id: 'roll' }
  const interval = intervalMs === undefined ? {} : { intervalMs }
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print' },
    rooms: [{ id: 'floor', title: 'Floor' }],
    machines: [{ id: 'roll', title: 'Roll', room: 'floor', ...machine }],
    sensors: [
      ...(meter ? [{ id: 'bench/power', quantity: 'power', subject, ...interval }] : []),
      ...(contact ? [{ id: 'bench/contact', quantity: 'powered', subject, ...interval }] : []),
    ],
  })
}

export const TOLD = { powerBandsW: { cleaning: [95, 140], printing: [160, 600] } }

export interface MeteredMachine {
  readonly facts: () => PowerFacts
  readonly changes: PowerChange[]
  readonly context: SubjectContext
  readonly meter: (draws: readonly Draw[]) => void
  readonly contact: (atMs: number, on: boolean) => void
  readonly of: <T extends PowerChange['type']>(type: T) => Extract<PowerChange, { type: T }>[]
}

/** A machine whose power is followed. @param options.restart takes the facts through JSON before every reading. */
export function createMeteredMachine(
  options: MeteredOptions & { readonly restart?: boolean } = {},
): MeteredMachine {
  const context = subjectContext(
    { kind: 'machine', id: 'roll' },
    meteredSettings(options),
    options.learned ?? [],
  )
  const rule = powerRuleIn(context)
  const changes: PowerChange[] = []
  let facts = initialPower()
  const read = (sensorId: string, quantity: 'power' | 'powered', atMs: number, value: number): void => {
    if (options.restart) facts = JSON.parse(JSON.stringify(facts)) as PowerFacts
    stepPower(facts, { sensorId, quantity, atMs, value }, rule, context, (change) => changes.push(change))
  }
  return {
    facts: () => facts,
    changes,
    context,
    meter: (draws) => {
      for (const [atMs, powerW] of draws) read('bench/power', 'power', atMs, powerW)
    },
    contact: (atMs, on) => read('bench/contact', 'powered', atMs, on ? 1 : 0),
    of: (type) => changes.filter((c) => c.type === type) as never,
  }
}

export function learnedMap(...all: readonly Learned[]): ReadonlyMap<string, Learned> {
  return new Map(all.map((l) => [learnedKey(l), l]))
}
