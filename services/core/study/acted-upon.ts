import type { Alarm } from '../model/alarm.ts'
import type { AlarmChange } from '../model/alarm-change.ts'
import type { Span } from '../model/opening-hours.ts'
import type { Machine, Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'
import type { Task } from '../model/task.ts'
import { OF_THE_INK } from './of-the-ink.ts'

export interface WhatPeopleDid {
  readonly changes: readonly AlarmChange[]
  readonly alarm: (id: string) => Pick<Alarm, 'subject'> | null
  /** Signed off, of any time. */
  readonly tasks: readonly Task[]
}

/**
 * Whether Nightcap told somebody of this machine's ink in that night, who did something about it.
 *
 * ACTED-1 somebody took an alarm on while it held ("I'm on it"), or signed off the task of one, between closing and
 *         opening. Whether it reached them by a message or by the board makes no difference.
 * ACTED-2 "Seen" of what is over, a shelf, a snooze and routine work are none: nothing was done, or it would have been
 *         done anyway.
 * ACTED-3 an alarm of the machine, its heads, its room or the whole shop counts for all its channel groups; one of
 *         bottles, sensors and nodes does not.
 */
export function actedUpon(
  machine: Machine,
  { site }: Settings,
  { night, did }: { readonly night: Span; readonly did: WhatPeopleDid },
): boolean {
  const within = (atMs: number): boolean => atMs >= night.fromMs && atMs < night.toMs
  const isAbout = (subject: Subject): boolean => concerns(machine, site.id, subject)
  const tookOn = did.changes.some(
    (c) =>
      within(c.atMs) &&
      c.state === 'acknowledged' &&
      c.from !== 'acknowledged' &&
      !c.arose &&
      c.holds &&
      OF_THE_INK.has(c.condition) &&
      isAbout(did.alarm(c.alarmId)?.subject ?? { kind: 'node', id: 'none' }),
  )
  return (
    tookOn ||
    did.tasks.some(
      (t) => t.signedOff && t.origin === 'alarm' && within(t.signedOff.atMs) && isAbout(t.subject),
    )
  )
}

function concerns(machine: Machine, siteId: string, { kind, id }: Subject): boolean {
  switch (kind) {
    case 'site':
      return id === siteId
    case 'room':
      return id === machine.room
    case 'machine':
      return id === machine.id
    case 'head':
      return machine.heads.some((h) => h.id === id)
    case 'channelGroup':
      return machine.heads.some((h) => h.channelGroups.some((g) => g.id === id))
    case 'bottle':
    case 'node':
    case 'sensor':
      return false
  }
}
