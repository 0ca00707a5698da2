import type { Detector, Finding } from '../../../../../services/core/detect/detector.ts'
import type { DistrustState } from '../../../../../services/core/detect/distrust.ts'
import { sensorImplausible } from '../../../../../services/core/detect/sensor-implausible.ts'
import { sensorOutOfStep } from '../../../../../services/core/detect/sensor-out-of-step.ts'
import { sensorStuck } from '../../../../../services/core/detect/sensor-stuck.ts'
import type { Order, Reading } from '../../../../../services/core/model/input.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { settingsSchema, type Settings } from '../../../../../services/core/model/settings.ts'
import type { Subject } from '../../../../../services/core/model/subject.ts'
import type { SubjectContext, TrackedFacts, Tracker } from '../../../../../services/core/track/tracker.ts'
import { trusted, type TrustedFacts } from '../../../../../services/core/track/trusted.ts'

export const MINUTE = 60_000
export const HOUR = 60 * MINUTE
export const DAY = 24 * HOUR

export interface SensorOf {
  readonly id: string
  readonly quantity: Reading['quantity']
  readonly subject: { readonly kind: 'room' | 'machine' | 'bottle'; readonly id: string }
  readonly intervalMs?: number
}

/** Quayside Film & Print: two rooms and the air outside, a machine and its bottle. */
export function shopWith(sensors: readonly SensorOf[]): Settings {
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print' },
    rooms: [
      { id: 'floor', title: 'Floor' },
      { id: 'store', title: 'Store' },
      { id: 'yard', title: 'Yard', outdoors: true },
    ],
    machines: [{ id: 'roll-left', title: 'Roll, left', room: 'floor' }],
    bottles: [{ id: 'waste', title: 'Waste', machines: ['roll-left'], capacityMl: 2000, tareKg: 0.1 }],
    sensors,
  })
}

export function contextOf(
  subject: Subject,
  settings: Settings,
  hears: readonly Subject[] = [subject],
): SubjectContext {
  const heard = settings.sensors.filter((s) =>
    hears.some((h) => h.kind === s.subject.kind && h.id === s.subject.id),
  )
  return {
    subject,
    settings,
    calendar: openingCalendar(settings),
    learned: new Map(),
    sensors: new Map(heard.map((s) => [s.id, { ...s, validForMs: Math.max(3 * s.intervalMs, 2 * MINUTE) }])),
  }
}

export interface HeardFacts extends TrackedFacts {
  /** What came through, by sensor. */
  heard: Record<string, number[]>
}

/** Writes down what it is told. */
export const noting: Tracker<HeardFacts> = {
  initial: () => ({ atMs: null, heard: {} }),
  onReading: (facts, { sensorId, value, atMs }) => {
    ;(facts.heard[sensorId] ??= []).push(value)
    facts.atMs = atMs
  },
  onOrder: (facts, order) => {
    facts.atMs = order.atMs
  },
  deadlineMs: () => Infinity,
  onDeadline: () => undefined,
}

export const DETECTORS = [sensorStuck, sensorImplausible, sensorOutOfStep] as const

export interface Found {
  readonly condition: string
  readonly sensorId: string
  readonly finding: Finding
}

export interface Watched<Facts> {
  readonly facts: () => Facts & TrustedFacts
  readonly found: Found[]
  readonly read: (sensorId: string, atMs: number, value: number) => void
  readonly order: (order: Order, context: SubjectContext) => void
  /** Facts and states go through JSON, as at a restart. */
  readonly restart: () => void
}

/** A subject as the kernel runs it: the tracker first, then each sensor's three detectors. */
export function watch<Facts extends TrackedFacts>(
  first: SubjectContext,
  tracker: Tracker<Facts & TrustedFacts>,
): Watched<Facts> {
  let context = first
  let facts = tracker.initial()
  let states: Record<string, DistrustState> = {}
  const found: Found[] = []
  const parts = () =>
    DETECTORS.flatMap((d) => (d.partsOf?.(context) ?? []).map((part) => ({ detector: d, part })))
  let watched = parts()
  const tell = (cause: Parameters<Detector<DistrustState, TrustedFacts>['onFacts']>[2]): void => {
    for (const { detector, part } of watched) {
      const state = (states[`${detector.condition}|${part.id}`] ??= detector.initial())
      const finding = detector.onFacts(state, { facts, part, context }, cause)
      if (finding) found.push({ condition: detector.condition, sensorId: part.id, finding })
    }
  }
  return {
    facts: () => facts,
    found,
    read: (sensorId, atMs, value) => {
      const quantity = context.sensors.get(sensorId)?.quantity
      if (!quantity) throw new RangeError(`${sensorId} is not heard`)
      const reading = { sensorId, quantity, atMs, value }
      tracker.onReading(facts, reading, context)
      facts.atMs = atMs
      tell({ type: 'reading', reading })
    },
    order: (order, next) => {
      context = next
      watched = parts()
      tracker.onOrder(facts, order, context)
      facts.atMs = order.atMs
      tell({ type: 'order', order })
    },
    restart: () => {
      facts = JSON.parse(JSON.stringify(facts)) as typeof facts
      states = JSON.parse(JSON.stringify(states)) as typeof states
    },
  }
}

export interface RoomOf {
  readonly quantity: Reading['quantity']
  readonly sensors: number
  readonly intervalMs: number
  readonly roomId: string
}

/** A watched room with sensors `floor/a`, `floor/b`, ... of one quantity. */
export function watchRoom({
  quantity = 'humidity',
  sensors = 1,
  intervalMs = MINUTE,
  roomId = 'floor',
}: Partial<RoomOf> = {}): Watched<HeardFacts> & { readonly ids: readonly string[] } {
  const subject = { kind: 'room', id: roomId } as const
  const ids = Array.from({ length: sensors }, (_, i) => `${roomId}/${String.fromCharCode(97 + i)}`)
  const settings = shopWith(ids.map((id) => ({ id, quantity, subject, intervalMs })))
  return { ids, ...watch(contextOf(subject, settings), trusted(noting)) }
}

/** A repeatable draw from 0 up to 1 (Lehmer, 48271 mod 2^31 - 1). */
export function drawsOf(seed: number): () => number {
  let at = seed
  return () => {
    at = (at * 48_271) % 2_147_483_647
    return at / 2_147_483_647
  }
}
