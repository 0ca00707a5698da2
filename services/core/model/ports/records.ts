import type { Alarm } from '../alarm.ts'
import type { AlarmChange } from '../alarm-change.ts'
import type { Disposal } from '../disposal.ts'
import type { Effect, OutboundMessage } from '../effect.ts'
import type { Episode } from '../episode.ts'
import type { Input, InputOf, Order, Reading } from '../input.ts'
import type { HeadChange, JudgedCare, LogEntry, LogKind, LogNote, NozzleCheck } from '../log-entry.ts'
import type { Notice } from '../notice.ts'
import type { MachineStretch } from '../machine-stretch.ts'
import type { MachineQuarter } from '../quarter.ts'
import type { Quantity } from '../quantity.ts'
import type { Rejection } from '../rejection.ts'
import type { Task } from '../task.ts'

/** What the kernel may look up while it rebuilds a subject after a late reading. Synchronous; sees the running transaction. */
export interface SubjectHistory {
  /** SH-1: the newest snapshot of the subject with throughMs < beforeMs, or null. */
  snapshotBefore: (query: {
    subjectKey: string
    beforeMs: number
  }) => { throughMs: number; stateJson: string } | null
  /**
   * SH-2: the orders in force at `fromMs` (of each key of `orderKeyOf` but `act` the last with atMs <= fromMs), then all
   * orders with atMs > fromMs; in order of (atMs, seq).
   */
  ordersFrom: (fromMs: number) => readonly Order[]
  /** SH-3: readings of these sensors with atMs > afterMs, in order of (atMs, sensorId). */
  readingsAfter: (query: { sensorIds: readonly string[]; afterMs: number }) => readonly Reading[]
  /** SH-4: episodes judged under the subject, not withdrawn, that are open or were closed after `afterMs`, in order of (fromMs, id). */
  episodesTouchedAfter: (query: { subjectKey: string; afterMs: number }) => readonly Episode[]
}

/** How readings offered for storage stand against those already held. */
export interface SortedReadings {
  /** Not held before: to be judged. In the order given. */
  readonly fresh: readonly Reading[]
  /** Held with the same value: a resend. */
  readonly resent: number
  /** Held with another value: kept apart as conflicts, not judged. */
  readonly conflicts: readonly Reading[]
}

export interface KernelSnapshot {
  readonly seq: number
  readonly kernelVersion: string
  readonly stateJson: string
}

/** The book of record: one store for inputs and what followed from them. Synchronous, one writer. */
export interface BookOfRecord {
  /** BR-1: all that `work` wrote is on disk (full sync) when this returns; if it throws, nothing of it is. */
  transaction: <T>(work: () => T) => T
  /** BR-2: seq of the newest input, 0 when there is none. */
  lastSeq: () => number
  /** BR-3: sorts readings against those held and against each other; writes nothing. */
  sortReadings: (readings: readonly Reading[]) => SortedReadings
  /** BR-4: appends an input. Its seq must be lastSeq() + 1. Readings in it must be fresh. */
  appendInput: (input: Input) => void
  /** BR-5: keeps conflicting readings apart, with who sent them and when. The same conflict again is kept once. */
  keepConflicts: (conflicts: readonly Reading[], receivedMs: number) => void
  /** BR-6: writes what followed from the input `seq`, and an event for each alarm and task that changed. */
  applyEffects: (seq: number, effects: readonly Effect[]) => void
  /** BR-7: keeps the kernel's state as of `seq`; older ones may be dropped. */
  saveKernelSnapshot: (snapshot: KernelSnapshot) => void
  latestKernelSnapshot: () => KernelSnapshot | null
  /** BR-8: inputs with seq > afterSeq in order, readings included as they were judged. */
  inputsAfter: (afterSeq: number) => Iterable<Input>
  /** BR-9: counts a rejection; at most 100 samples a topic and 10,000 in all are kept, beyond that only counted. */
  keepRejection: (rejection: Rejection, receivedMs: number) => void
  /**
   * BR-10: notes that a sensor was heard, whether assigned or not; counts of readings add up. A note measured before
   * the newest changes neither quantity nor value. The interval promised last holds until another is promised.
   */
  noteHeard: (heard: readonly HeardSensorNote[]) => void
  /** BR-11: drops subject snapshots older than `beforeMs`. */
  pruneSubjectSnapshots: (beforeMs: number) => void
  /** BR-12: drops readings measured before `beforeMs`. Gives how many went. */
  pruneReadings: (beforeMs: number) => number
  /** BR-13: when the monitor last committed anything or said it was alive (its clock), or null. */
  lastAliveMs: () => number | null
  noteAlive: (atMs: number) => void
  /** BR-14: undelivered messages, oldest first; of one replaceKey only the newest. */
  pendingMessages: (limit: number) => readonly PendingMessage[]
  /** BR-15: marks a message delivered at `atMs`; a failed attempt is counted and stays pending. */
  markMessage: (outcome: { id: number; delivered: boolean; atMs: number }) => void
  /**
   * BR-16: notices that have not settled, oldest first; of one contact and topic only the newest. A notice queued again
   * under the same key is the same notice.
   */
  pendingNotices: (limit: number) => readonly PendingNotice[]
  /** BR-17: a settled notice is pending no more: every channel took it, or it is given up. */
  settleNotice: (outcome: { key: string; outcome: 'delivered' | 'givenUp'; atMs: number }) => void
  /** BR-18: through which input readings were handed on to another store; 0 before the first. It never goes back. */
  forwardedSeq: () => number
  noteForwarded: (seq: number) => void
  history: SubjectHistory
  close: () => void
}

/** What of the logbook is asked for: what happened in [fromMs, toMs), of one machine or of all. */
export interface LogWindow {
  readonly fromMs: number
  readonly toMs: number
  readonly machineId?: string
}

export interface PendingNotice {
  readonly notice: Notice
  readonly queuedMs: number
}

export interface PendingMessage extends OutboundMessage {
  readonly id: number
  readonly queuedMs: number
  readonly attempts: number
}

export interface HeardSensorNote {
  readonly sensorId: string
  readonly nodeId: string
  readonly quantity: Quantity
  readonly atMs: number
  readonly receivedMs: number
  readonly value: number
  readonly intervalMs: number | null
  /** How many readings this note stands for; in a HeardSensor, all so far. */
  readonly readings: number
}

export interface HeardSensor extends HeardSensorNote {
  readonly firstReceivedMs: number
}

export interface QuarantineEntry {
  readonly topic: string
  readonly code: string
  readonly reason: string
  readonly sample: string
  readonly count: number
  readonly firstMs: number
  readonly lastMs: number
}

export interface SeriesPoint {
  /** Start of the bucket. */
  readonly atMs: number
  readonly min: number
  readonly mean: number
  readonly max: number
  readonly last: number
}

/** As much of a task as its mark on a chart needs. */
export type EndedTask = Pick<Task, 'id' | 'subject' | 'title' | 'state'> & { readonly closedMs: number }

export interface RecordedEvent {
  readonly id: number
  readonly atMs: number
  readonly kind: 'alarm' | 'task' | 'settings'
  readonly body: Readonly<Record<string, unknown>>
}

/** What screens may ask of the book of record. Reads only. */
export interface RecordsReader {
  /** RR-1: alarms that are not normal, newest first. */
  openAlarms: () => readonly Alarm[]
  alarm: (id: string) => Alarm | null
  /**
   * RR-14: changes of alarms with fromMs <= atMs < toMs, in the order in which they were made. One in which only words
   * changed is none (`alarmChangeOf`).
   */
  alarmChanges: (query: { fromMs: number; toMs: number }) => readonly AlarmChange[]
  /** RR-15: when the first input came in, or null. */
  recordBeginsMs: () => number | null
  /** RR-2: tasks in one of the states, the one that changed last first, at most `limit`. */
  tasks: (query: { states: readonly Task['state'][]; limit: number }) => readonly Task[]
  task: (id: string) => Task | null
  /** RR-12: the newest entry of each disposal in [fromMs, toMs), the one disposed of last first, at most `limit`. */
  disposals: (query: { fromMs: number; toMs: number; limit: number }) => readonly Disposal[]
  /** RR-13: every entry of a disposal, the oldest first; none of one that is not known. */
  disposalHistory: (disposalId: string) => readonly Disposal[]
  /**
   * RR-16: the newest entry of each that is not void and happened in [fromMs, toMs), the oldest first; of one machine, or
   * of all. A note is of a machine when it is about it.
   */
  nozzleChecks: (query: LogWindow) => readonly NozzleCheck[]
  notes: (query: LogWindow) => readonly LogNote[]
  headChanges: (query: LogWindow) => readonly HeadChange[]
  /** RR-17: cleanings and stirrings, as in RR-16, each with whether it helped (`helpedOf`). */
  careEntries: (query: LogWindow) => readonly JudgedCare[]
  /** RR-18: every entry of this kind and id, void ones too, the oldest first. */
  logHistory: (query: { kind: LogKind; id: string }) => readonly LogEntry[]
  nozzleCheckHistory: (checkId: string) => readonly NozzleCheck[]
  /** RR-33: how often each of these was said anew, void or not; one that is not known is left out. */
  corrections: (query: { kind: LogKind | 'disposal'; ids: readonly string[] }) => ReadonlyMap<string, number>
  /** RR-32: as RR-16 of one kind, void ones too. */
  logEntriesWithVoid: (query: LogWindow & { readonly kind: LogKind }) => readonly LogEntry[]
  /** RR-3: episodes that touch [fromMs, toMs), oldest first. */
  episodes: (query: { fromMs: number; toMs: number }) => readonly Episode[]
  /** RR-4: newest reading of each sensor by event time. */
  latestReadings: () => readonly Reading[]
  /**
   * RR-5: buckets of `bucketMs` that hold readings, oldest first; an empty bucket is left out, so a gap stays a gap.
   * Buckets begin at multiples of `bucketMs`. Whole minutes are told from records that are kept for good, so a bucket of
   * minutes outlives its raw readings. Without `quantity`, the one that the sensor measured last.
   */
  series: (query: {
    sensorId: string
    quantity?: Quantity
    fromMs: number
    toMs: number
    bucketMs: number
  }) => readonly SeriesPoint[]
  /** RR-6: newest reading of the sensor before `atMs`, for a state that began before the window. `quantity` as in RR-5. */
  readingBefore: (query: { sensorId: string; quantity?: Quantity; atMs: number }) => Reading | null
  /** RR-19: single readings of the sensor that are held, in [fromMs, toMs), oldest first, at most `limit`. */
  readings: (query: {
    sensorId: string
    quantity: Quantity
    fromMs: number
    toMs: number
    limit: number
  }) => readonly Reading[]
  heardSensors: () => readonly HeardSensor[]
  quarantine: (limit: number) => readonly QuarantineEntry[]
  /** RR-8: `readings` are those held now; `quarantined` counts every rejection, kept or not. */
  counts: () => {
    readings: number
    conflicts: number
    quarantined: number
    notJudged: number
    inputs: number
  }
  /** RR-7: events with id > afterId, oldest first, at most `limit`. */
  eventsAfter: (query: { afterId: number; limit: number }) => readonly RecordedEvent[]
  lastEventId: () => number
  /** RR-10: how many readings held came with inputs after `seq`; counted up to a million. */
  readingsAfterInput: (seq: number) => number
  /** RR-11: noted quarters of a machine that end in (fromMs, toMs], oldest first; each as it was noted last. */
  machineQuarters: (query: { machineId: string; fromMs: number; toMs: number }) => readonly MachineQuarter[]
  /**
   * RR-30: the same quarters in stretches of `widthMs`, a whole number of quarters, that begin at multiples of it and
   * touch [fromMs, toMs); oldest first, one without any quarter is left out.
   */
  machineStretches: (query: {
    machineId: string
    fromMs: number
    toMs: number
    widthMs: number
  }) => readonly MachineStretch[]
  /** RR-31: tasks that ended in [fromMs, toMs), oldest first; those withdrawn are left out. */
  tasksEnded: (query: { fromMs: number; toMs: number }) => readonly EndedTask[]
  /** RR-9: settings that ever held, newest first. */
  settingsHistory: (limit: number) => readonly InputOf<'settings'>[]
}
