import type { AlarmState } from '../model/alarm.ts'

/** Where an alarm is: its state, and whether its condition holds now. */
export interface AlarmLife {
  readonly state: AlarmState
  readonly holds: boolean
}

/** What can befall an alarm. */
export type LifeEvent =
  /** The condition holds, for the first time or again. `seen`: somebody is on this very trouble already. */
  | { readonly type: 'arose'; readonly seen: boolean }
  /** The condition holds, and planned quiet covers it. */
  | { readonly type: 'aroseInQuiet'; readonly as: 'suppressedByDesign' | 'outOfService' }
  /** The condition is over. */
  | { readonly type: 'returned' }
  /** It proved never to have held. `told`: somebody had been called for it. */
  | { readonly type: 'withdrawn'; readonly told: boolean }
  | { readonly type: 'acknowledged' }
  /** It became more urgent than it was when somebody acknowledged it. */
  | { readonly type: 'grewUrgent' }
  | { readonly type: 'shelved' }
  /** Its time on the shelf is over, somebody took it down, or another trouble in it cannot wait. */
  | { readonly type: 'unshelved' }
  /** The planned quiet is over; `joins`: what still holds belongs to another alarm now. */
  | { readonly type: 'quietEnded'; readonly joins: boolean }

/**
 * The life of an alarm after ISA-18.2 / IEC 62682. Names and the first six rules are those of the standard, by second
 * hand; it leaves the rest open, or we do not know what it says, and they are ours.
 *
 * LIFE-1 normal, and the condition holds: unacknowledged.
 * LIFE-2 unacknowledged, and somebody says "I'm on it": acknowledged.
 * LIFE-3 unacknowledged, and the condition is over: returned, unacknowledged. Day or night: somebody says that they saw it.
 * LIFE-4 acknowledged, and the condition is over: normal.
 * LIFE-5 returned, and somebody says that they saw it: normal.
 * LIFE-6 returned, and the condition holds again: unacknowledged again.
 * LIFE-7 shelved from unacknowledged, acknowledged or returned. On the shelf the condition comes and goes unsaid. Taken
 *        down it is unacknowledged where the condition holds, for it is told anew, and normal where it does not.
 * LIFE-8 what arises in planned quiet is out of service or suppressed by design from the start. Over in the quiet:
 *        normal, since nobody was told. Quiet over and it still holds: unacknowledged, or normal where it joins another
 *        alarm. What stood before the quiet stands on (QUIET-2).
 * LIFE-9 acknowledged, and it grew more urgent: unacknowledged, asked anew.
 * LIFE-10 what proved never to have been goes to normal, since nobody needs to see it; but to returned, unacknowledged
 *        where somebody had been called or is on it, for they must hear that it was nothing.
 * LIFE-11 a trouble that comes back soon after somebody took it on (REALARM-2) is acknowledged from the start.
 * LIFE-12 what is not named here changes nothing: an alarm on the shelf or in quiet cannot be acknowledged, one that is
 *        normal cannot be shelved.
 */
export function nextLife(life: AlarmLife, event: LifeEvent): AlarmLife {
  const holds = holdsAfter(life, event)
  return { state: TRANSITIONS[life.state][happeningOf(life.state, event, holds)] ?? life.state, holds }
}

function holdsAfter({ holds }: AlarmLife, event: LifeEvent): boolean {
  if (event.type === 'arose' || event.type === 'aroseInQuiet') return true
  if (event.type === 'returned' || event.type === 'withdrawn') return false
  return event.type === 'quietEnded' ? holds && !event.joins : holds
}

/** An event with what decides where it leads. */
export type Happening =
  | 'arose'
  | 'aroseSeen'
  | 'aroseSuppressed'
  | 'aroseOutOfService'
  | 'returned'
  | 'withdrawn'
  | 'withdrawnAfterCall'
  | 'acknowledged'
  | 'grewUrgent'
  | 'shelved'
  | 'unshelvedHolding'
  | 'unshelvedOver'
  | 'quietEndedHolding'
  | 'quietEndedOver'

export function happeningOf(state: AlarmState, event: LifeEvent, holds: boolean): Happening {
  switch (event.type) {
    case 'arose':
      return event.seen && state === 'normal' ? 'aroseSeen' : 'arose'
    case 'aroseInQuiet':
      return event.as === 'outOfService' ? 'aroseOutOfService' : 'aroseSuppressed'
    case 'withdrawn':
      return event.told && mayHaveCalled(state) ? 'withdrawnAfterCall' : 'withdrawn'
    case 'unshelved':
      return holds ? 'unshelvedHolding' : 'unshelvedOver'
    case 'quietEnded':
      return holds ? 'quietEndedHolding' : 'quietEndedOver'
    case 'returned':
    case 'acknowledged':
    case 'grewUrgent':
    case 'shelved':
      return event.type
  }
}

/** Only what asked for somebody, and has no answer, depends on whether anybody was called. */
function mayHaveCalled(state: AlarmState): boolean {
  return state === 'unacknowledged' || state === 'returnedUnacknowledged'
}

const IN_QUIET: Transitions = {
  returned: 'normal',
  withdrawn: 'normal',
  quietEndedHolding: 'unacknowledged',
  quietEndedOver: 'normal',
}

type Transitions = Readonly<Partial<Record<Happening, AlarmState>>>

/** Every transition there is; whatever is not here leaves the state as it is (LIFE-12). */
export const TRANSITIONS: Readonly<Record<AlarmState, Transitions>> = {
  normal: {
    arose: 'unacknowledged',
    aroseSeen: 'acknowledged',
    aroseSuppressed: 'suppressedByDesign',
    aroseOutOfService: 'outOfService',
  },
  unacknowledged: {
    acknowledged: 'acknowledged',
    returned: 'returnedUnacknowledged',
    withdrawn: 'normal',
    withdrawnAfterCall: 'returnedUnacknowledged',
    shelved: 'shelved',
  },
  acknowledged: {
    returned: 'normal',
    withdrawn: 'returnedUnacknowledged',
    grewUrgent: 'unacknowledged',
    shelved: 'shelved',
  },
  returnedUnacknowledged: {
    arose: 'unacknowledged',
    acknowledged: 'normal',
    withdrawn: 'normal',
    shelved: 'shelved',
  },
  shelved: { unshelvedHolding: 'unacknowledged', unshelvedOver: 'normal' },
  suppressedByDesign: IN_QUIET,
  outOfService: IN_QUIET,
}

/** Stands before people: it holds, and nobody set it aside. */
export function isStanding({ state }: { readonly state: AlarmState }): boolean {
  return state === 'unacknowledged' || state === 'acknowledged'
}

/** Set aside by a person for a time, or by a plan. */
export function isSetAside({ state }: { readonly state: AlarmState }): boolean {
  return state === 'shelved' || isInQuiet({ state })
}

/** On record because a plan explains it: nobody is told, and it makes no task. */
export function isInQuiet({ state }: { readonly state: AlarmState }): boolean {
  return state === 'suppressedByDesign' || state === 'outOfService'
}
