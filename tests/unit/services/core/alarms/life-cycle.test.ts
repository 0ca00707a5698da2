import { describe, expect, it } from 'vitest'
import {
  isInQuiet,
  isSetAside,
  isStanding,
  nextLife,
  type LifeEvent,
} from '../../../../../services/core/alarms/life-cycle.ts'
import { ALARM_STATES, type AlarmState } from '../../../../../services/core/model/alarm.ts'

const EVENTS: readonly LifeEvent[] = [
  { type: 'arose', seen: false },
  { type: 'arose', seen: true },
  { type: 'aroseInQuiet', as: 'suppressedByDesign' },
  { type: 'aroseInQuiet', as: 'outOfService' },
  { type: 'returned' },
  { type: 'withdrawn', told: false },
  { type: 'withdrawn', told: true },
  { type: 'acknowledged' },
  { type: 'grewUrgent' },
  { type: 'shelved' },
  { type: 'unshelved' },
  { type: 'quietEnded', joins: false },
  { type: 'quietEnded', joins: true },
]

/** What the standard names, by second hand, and what is ours: every state by every event, the condition holding. */
const N = 'normal'
const U = 'unacknowledged'
const A = 'acknowledged'
const R = 'returnedUnacknowledged'
const S = 'shelved'
const Q = 'suppressedByDesign'
const O = 'outOfService'
// prettier-ignore
const TABLE: Readonly<Record<AlarmState, readonly AlarmState[]>> = {
  //                       arose seen quiet away over never called ack grew shelve down ended joined
  normal:                 [U,    A,   Q,    O,   N,   N,    N,     N,  N,   N,     N,   N,    N],
  unacknowledged:         [U,    U,   U,    U,   R,   N,    R,     A,  U,   S,     U,   U,    U],
  acknowledged:           [A,    A,   A,    A,   N,   R,    R,     A,  U,   S,     A,   A,    A],
  returnedUnacknowledged: [U,    U,   R,    R,   R,   N,    R,     N,  R,   S,     R,   R,    R],
  shelved:                [S,    S,   S,    S,   S,   S,    S,     S,  S,   S,     U,   S,    S],
  suppressedByDesign:     [Q,    Q,   Q,    Q,   N,   N,    N,     Q,  Q,   Q,     Q,   U,    N],
  outOfService:           [O,    O,   O,    O,   N,   N,    N,     O,  O,   O,     O,   U,    N],
}

describe('the life of an alarm', () => {
  it.each(ALARM_STATES)('LIFE-1 to 12 from %s, each event leads where the table says', (state) => {
    const led = EVENTS.map((event) => nextLife({ state, holds: true }, event).state)
    expect(led).toEqual(TABLE[state])
  })

  it('LIFE-7 taken down when its condition is over, it is normal', () => {
    expect(nextLife({ state: 'shelved', holds: false }, { type: 'unshelved' }).state).toBe('normal')
  })

  it('the condition holds from when it arose to when it is over, on the shelf too', () => {
    const holds = (event: LifeEvent, before: boolean) =>
      nextLife({ state: 'shelved', holds: before }, event).holds
    expect(holds({ type: 'arose', seen: false }, false)).toBe(true)
    expect(holds({ type: 'returned' }, true)).toBe(false)
    expect(holds({ type: 'withdrawn', told: true }, true)).toBe(false)
    expect([holds({ type: 'unshelved' }, true), holds({ type: 'unshelved' }, false)]).toEqual([true, false])
  })

  it('an alarm stands before people, is set aside, or is over: never two of them', () => {
    const where = ALARM_STATES.map((state) => [
      isStanding({ state }),
      isSetAside({ state }),
      isInQuiet({ state }),
    ])
    expect(where).toEqual([
      [true, false, false],
      [true, false, false],
      [false, false, false],
      [false, true, false],
      [false, true, true],
      [false, true, true],
      [false, false, false],
    ])
  })
})
