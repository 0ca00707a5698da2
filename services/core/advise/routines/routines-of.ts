import { titleOf } from '../../alarms/subject-title.ts'
import { createOccurrences, type NextOccurrence } from '../../model/recurrence.ts'
import type { Routine } from '../../model/routine.ts'
import type { Settings } from '../../model/settings.ts'
import { subjectKey, type Subject } from '../../model/subject.ts'
import type { Task } from '../../model/task.ts'
import { workKeyOf, workOfRoutine } from '../tasks/works.ts'
import { READY_MADE_ROUTINES } from './ready-made.ts'

/** One routine on one subject. */
export interface RoutineTurn {
  readonly key: string
  readonly routine: Routine
  readonly subject: Subject
  readonly workKey: string
  /** Of a calendar routine; null for others. */
  readonly nextAfter: NextOccurrence | null
}

/**
 * The routines of a shop: the ready-made ones, each in the owner's form where the owner changed it, then the owner's own.
 * Those that are switched off are among them.
 */
export function routinesOf({ routines }: Pick<Settings, 'routines'>): readonly Routine[] {
  const own = new Map(routines.map((r) => [r.id, r]))
  const isReadyMade = new Set(READY_MADE_ROUTINES.map((r) => r.id))
  return [
    ...READY_MADE_ROUTINES.map((r) => own.get(r.id) ?? r),
    ...routines.filter((r) => !isReadyMade.has(r.id)),
  ]
}

export function isReadyMade(routineId: string): boolean {
  return READY_MADE_ROUTINES.some((r) => r.id === routineId)
}

/** What a routine is done for, in the order of the settings. The air outside needs no care. */
export function subjectsOf({ forEach }: Routine, settings: Settings): readonly Subject[] {
  switch (forEach) {
    case 'machine':
      return settings.machines.map(({ id }) => ({ kind: 'machine', id }))
    case 'bottle':
      return settings.bottles.map(({ id }) => ({ kind: 'bottle', id }))
    case 'room':
      return settings.rooms.filter((r) => !r.outdoors).map(({ id }) => ({ kind: 'room', id }))
    case 'shop':
      return [{ kind: 'site', id: settings.site.id }]
  }
}

const turns = new WeakMap<Settings, readonly RoutineTurn[]>()

/** Every routine that is switched on, on each of its subjects. Made once for the same settings. */
export function turnsOf(settings: Settings): readonly RoutineTurn[] {
  let known = turns.get(settings)
  if (!known) turns.set(settings, (known = makeTurns(settings)))
  return known
}

function makeTurns(settings: Settings): readonly RoutineTurn[] {
  return routinesOf(settings)
    .filter((r) => r.on)
    .flatMap((routine) => {
      const { trigger } = routine
      const nextAfter =
        trigger.kind === 'calendar' ? remembered(createOccurrences(trigger, settings.site.timeZone)) : null
      return subjectsOf(routine, settings).map((subject) => ({
        key: `${routine.id}|${subjectKey(subject)}`,
        routine,
        subject,
        workKey: workKeyOf(workOfRoutine(routine.id), subject, settings),
        nextAfter,
      }))
    })
}

/** Every subject of a routine asks the same, again and again. */
function remembered(next: NextOccurrence): NextOccurrence {
  let last: { afterMs: number; nextMs: number | null } | null = null
  return (afterMs) => {
    if (last && afterMs >= last.afterMs && (last.nextMs === null || afterMs < last.nextMs)) return last.nextMs
    last = { afterMs, nextMs: next(afterMs) }
    return last.nextMs
  }
}

/** The words of a routine's task. */
export function routineAdvice(
  { title, why, steps, cautions, tools, supplies }: Routine,
  subject: Subject,
  settings: Settings,
): Pick<Task, 'title' | 'why' | 'steps' | 'cautions' | 'tools' | 'supplies'> {
  const of = subject.kind === 'site' ? title : `${title}: ${titleOf(subject, settings)}`
  return {
    title: of,
    why,
    steps: [...steps],
    cautions: [...cautions],
    tools: [...tools],
    supplies: [...supplies],
  }
}
