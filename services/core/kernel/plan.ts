import type { SubjectContext } from '../detect/detector.ts'
import { openingCalendar, type OpeningCalendar } from '../model/opening-hours.ts'
import type { SensorBinding, Settings } from '../model/settings.ts'
import { subjectKey, type Subject } from '../model/subject.ts'

/** What follows from one set of settings: who is judged, and where each sensor's readings go. */
export interface Plan {
  readonly settings: Settings
  readonly calendar: OpeningCalendar
  readonly contexts: ReadonlyMap<string, SubjectContext>
  readonly subjectOfSensor: ReadonlyMap<string, string>
  readonly bindings: ReadonlyMap<string, SensorBinding>
}

export function planOf(settings: Settings): Plan {
  const calendar = openingCalendar(settings)
  const contexts = new Map<string, SubjectContext>()
  for (const subject of subjectsOf(settings)) {
    const sensors = settings.sensors.filter(
      (s) => s.subject.kind === subject.kind && s.subject.id === subject.id,
    )
    contexts.set(subjectKey(subject), {
      subject,
      settings,
      calendar,
      sensors: new Map(sensors.map((s) => [s.id, s])),
      validForMs: Math.max(0, ...sensors.map((s) => silentLimitMs(s, settings))),
    })
  }
  return {
    settings,
    calendar,
    contexts,
    subjectOfSensor: new Map(settings.sensors.map((s) => [s.id, `${s.subject.kind}:${s.subject.id}`])),
    bindings: new Map(settings.sensors.map((s) => [s.id, s])),
  }
}

/** After how long without a word a sensor counts as silent, in ms: intervals of its own, but at least the floor. */
export function silentLimitMs(
  { intervalMs }: Pick<SensorBinding, 'intervalMs'>,
  { limits }: Settings,
): number {
  return Math.max(limits.silent.intervals * intervalMs, limits.silent.atLeastMs)
}

function subjectsOf(settings: Settings): readonly Subject[] {
  return [
    ...settings.rooms.map(({ id }): Subject => ({ kind: 'room', id })),
    ...settings.machines.map(({ id }): Subject => ({ kind: 'machine', id })),
    ...settings.bottles.map(({ id }): Subject => ({ kind: 'bottle', id })),
  ]
}
