import type { CHECK_REASONS } from '../act.ts'
import type { Alarm } from '../alarm.ts'
import type { AlarmChange } from '../alarm-change.ts'
import type { Input, InputOf, Reading } from '../input.ts'
import type { Task } from '../task.ts'

/** A nozzle check as far as a re-run needs it. A channel group that is not in `missing` was clear. */
export interface PastCheck {
  readonly machineId: string
  readonly checkedMs: number
  readonly reason: (typeof CHECK_REASONS)[number]
  readonly missing: readonly { readonly channelGroupId: string; readonly missingNozzles: number }[]
}

/** A head was changed for another. */
export interface PastHeadChange {
  readonly headId: string
  readonly changedMs: number
}

/**
 * The stored past, as a re-run reads it: from a connection of its own, and without ever writing. `minutesUntilMs` is a
 * whole minute: of what was measured before it, each minute's last reading stands for the minute, and arrives when it
 * was measured; from then on every reading arrives as it did.
 */
export interface Past {
  /** PAST-1: when the first input came in, or null. */
  recordBeginsMs: () => number | null
  /** PAST-2: when the oldest reading was measured that is still held, or null. */
  readingsBeginMs: () => number | null
  /**
   * PAST-3: what still held at `fromMs`: the last settings and learned values before it, plans for quiet that were not
   * over, and proofs of reply paths. In the order in which they came.
   */
  inForceAt: (fromMs: number) => readonly Input[]
  /** PAST-4: inputs that came in within [fromMs, toMs), in order of arrival, without clock deadlines. */
  inputs: (query: { fromMs: number; toMs: number; minutesUntilMs: number }) => Iterable<Input>
  /**
   * PAST-5: readings of these sensors measured after `afterMs`, in order of (atMs, sensorId), as far as they had arrived
   * with the input `throughSeq` or, as minutes, by `throughMs`.
   */
  readingsAfter: (query: {
    sensorIds: readonly string[]
    afterMs: number
    throughSeq: number
    throughMs: number
    minutesUntilMs: number
  }) => readonly Reading[]
  /** PAST-6: the alarm and the task as they stand on record. */
  alarm: (id: string) => Pick<Alarm, 'rootKey'> | null
  task: (id: string) => Pick<Task, 'workKey'> | null
  /** PAST-7: changes of alarms on record with fromMs <= atMs < toMs. */
  alarmChanges: (query: { fromMs: number; toMs: number }) => readonly AlarmChange[]
  /** PAST-8: nozzle checks made within [fromMs, toMs), the newest entry of each that was not taken back, oldest first. */
  checks: (query: { fromMs: number; toMs: number }) => readonly PastCheck[]
  /** PAST-10: head changes within [fromMs, toMs), as PAST-8. */
  headChanges: (query: { fromMs: number; toMs: number }) => readonly PastHeadChange[]
  /** PAST-9: settings that held at any time within [fromMs, toMs), oldest first. */
  settingsWithin: (query: { fromMs: number; toMs: number }) => readonly InputOf<'settings'>[]
}
