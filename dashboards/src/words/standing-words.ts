import type { Alarm, Urgency } from '../../../services/core/model/alarm.ts'
import type { BoardView, MachineView } from '../../../services/core/model/views.ts'

export type Standing = MachineView['standing']

/** The word beside each shape: state is never told by colour alone. */
export const STANDING_WORDS: Readonly<Record<Standing, string>> = {
  actNow: 'Act now',
  beforeOpening: 'Before opening',
  well: 'Well',
  unknown: 'Not known',
  setAside: 'Set aside',
}

export type Hours = Pick<BoardView['site'], 'open' | 'nextChangeMs'>

/**
 * How much time there is, in the same word on every page.
 *
 * URGENCY-WORD-1 while the shop is open all that can wait is for today: it must not read as if there were time till the
 *                shop opens next.
 * URGENCY-WORD-2 while it is closed nothing is for "today", of which at 23:00 an hour is left: it is for before the
 *                opening, or waits until then.
 * URGENCY-WORD-3 a shop without hours has no opening to speak of.
 */
export function urgencyWord(urgency: Urgency, hours: Hours | undefined): string {
  if (urgency === 'now') return 'Now'
  if (!hours || hours.open || hours.nextChangeMs === null) return 'Today'
  return urgency === 'beforeOpening' ? 'Before opening' : 'When open'
}

/** The word of a machine. */
export function standingWord(
  { standing, alarm }: Pick<MachineView, 'standing' | 'alarm'>,
  hours: Hours,
): string {
  const isAsked = standing === 'beforeOpening' && alarm !== null
  return isAsked ? urgencyWord(alarm.urgency, hours) : STANDING_WORDS[standing]
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
