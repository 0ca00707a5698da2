import type { Alarm, Urgency } from '../../../services/core/model/alarm.ts'
import type { MachineView } from '../../../services/core/model/views.ts'

export type Standing = MachineView['standing']

/** The word beside each shape: state is never told by colour alone. */
export const STANDING_WORDS: Readonly<Record<Standing, string>> = {
  actNow: 'Act now',
  beforeOpening: 'Before opening',
  well: 'Well',
  unknown: 'Not known',
  setAside: 'Set aside',
}

export const URGENCY_WORDS: Readonly<Record<Urgency, string>> = {
  now: 'Now',
  beforeOpening: 'Before opening',
  today: 'Today',
}

/** The word of a machine: what is for today must not read as if there were time till the shop opens next. */
export function standingWord({ standing, alarm }: Pick<MachineView, 'standing' | 'alarm'>): string {
  const isToday = standing === 'beforeOpening' && alarm?.urgency === 'today'
  return isToday ? URGENCY_WORDS.today : STANDING_WORDS[standing]
}

/** The shape an urgency is drawn with. */
export function standingOfUrgency(urgency: Urgency): Standing {
  return urgency === 'now' ? 'actNow' : 'beforeOpening'
}

const RANK: Readonly<Record<Standing, number>> = {
  actNow: 0,
  beforeOpening: 1,
  unknown: 2,
  setAside: 3,
  well: 4,
}

/** What needs someone stands on top: a wall cannot be scrolled. Within a standing the owner's own order stays. */
export function byStanding(machines: readonly MachineView[]): readonly MachineView[] {
  return [...machines].sort((a, b) => RANK[a.standing] - RANK[b.standing])
}

/** What unfolds under "Why?": the four things that make an alarm one (ISA-18.2). */
export function reasonLines(alarm: Alarm): readonly { term: string; text: string }[] {
  return [
    { term: 'What happened', text: alarm.cause },
    { term: 'What it leads to', text: alarm.consequence },
    { term: 'What to do', text: alarm.action },
    { term: 'Time to act', text: alarm.timeToAct },
  ]
}
