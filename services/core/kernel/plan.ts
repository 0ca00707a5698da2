import type { LearnedValues } from '../model/learned.ts'
import { openingCalendar, type OpeningCalendar } from '../model/opening-hours.ts'
import type { SensorBinding, Settings } from '../model/settings.ts'
import { subjectKey, type Subject } from '../model/subject.ts'
import type { HeardBinding, SubjectContext } from '../track/tracker.ts'

/** What follows from one set of settings and learned values: who is judged, and where each sensor's readings go. */
export interface Plan {
  readonly settings: Settings
  readonly learned: LearnedValues
  readonly calendar: OpeningCalendar
  readonly contexts: ReadonlyMap<string, SubjectContext>
  /** Keys of the subjects that hear a sensor, in the order of `contexts`. */
  readonly hearersOf: ReadonlyMap<string, readonly string[]>
  readonly bindings: ReadonlyMap<string, SensorBinding>
}

/** `calendar` may be handed on where the hours have not changed: it remembers what it was asked. */
export function planOf(settings: Settings, learned: LearnedValues, known?: OpeningCalendar): Plan {
  const calendar = known ?? openingCalendar(settings)
  const contexts = new Map<string, SubjectContext>()
  const hearersOf = new Map<string, string[]>()
  const sensors = settings.sensors.map((s) => ({ ...s, validForMs: silentLimitMs(s, settings) }))
  for (const subject of subjectsOf(settings)) {
    const key = subjectKey(subject)
    const heard = heardBy(subject, settings, sensors)
    contexts.set(key, {
      subject,
      settings,
      calendar,
      learned,
      sensors: new Map(heard.map((s) => [s.id, s])),
    })
    for (const { id } of heard) hearersOf.set(id, [...(hearersOf.get(id) ?? []), key])
  }
  const bindings = new Map(settings.sensors.map((s) => [s.id, s]))
  return { settings, learned, calendar, contexts, hearersOf, bindings }
}

/** After how long without a word a sensor counts as silent, in ms: intervals of its own, but at least the floor. */
export function silentLimitMs(
  { intervalMs }: Pick<SensorBinding, 'intervalMs'>,
  { limits }: Settings,
): number {
  return Math.max(limits.silent.intervals * intervalMs, limits.silent.atLeastMs)
}

/**
 * HEAR-1 a subject hears the sensors bound to it.
 * HEAR-2 a machine hears the air of its room.
 * HEAR-3 a bottle hears the power of the machines that drain into it, which tells when they cleaned.
 */
function heardBy(
  { kind, id }: Subject,
  settings: Settings,
  sensors: readonly HeardBinding[],
): readonly HeardBinding[] {
  const room = kind === 'machine' ? settings.machines.find((m) => m.id === id)?.room : undefined
  const machines = kind === 'bottle' ? (settings.bottles.find((b) => b.id === id)?.machines ?? []) : []
  return sensors.filter(
    ({ subject, quantity }) =>
      (subject.kind === kind && subject.id === id) ||
      (subject.kind === 'room' && subject.id === room) ||
      (subject.kind === 'machine' &&
        machines.includes(subject.id) &&
        (quantity === 'power' || quantity === 'powered')),
  )
}

function subjectsOf(settings: Settings): readonly Subject[] {
  return [
    { kind: 'site', id: settings.site.id },
    ...settings.rooms.map(({ id }): Subject => ({ kind: 'room', id })),
    ...settings.machines.map(({ id }): Subject => ({ kind: 'machine', id })),
    ...settings.bottles.map(({ id }): Subject => ({ kind: 'bottle', id })),
  ]
}
