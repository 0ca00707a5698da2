import type { Alarm } from './alarm.ts'
import type { Disposal } from './disposal.ts'
import type { Episode } from './episode.ts'
import type { LogEntry } from './log-entry.ts'
import type { Notice } from './notice.ts'
import type { MachineQuarter } from './quarter.ts'
import type { Task } from './task.ts'

/** A message that must leave the house: kept in the outbox until its channel has delivered it. */
export interface OutboundMessage {
  /** The same message twice has the same key; the receiver may use it to drop the second. */
  readonly idempotencyKey: string
  readonly channel: 'machineState'
  /** A newer message replaces an undelivered older one of the same replaceKey. */
  readonly replaceKey: string
  readonly body: Readonly<Record<string, unknown>>
}

/** What the kernel decided. The shell writes all effects of an input in the transaction that holds the input. */
export type Effect =
  | { readonly type: 'episodeOpened'; readonly episode: Episode }
  | { readonly type: 'episodeClosed'; readonly episode: Episode }
  /** A late reading changed an episode that was already on record: `previousId` is replaced. */
  | { readonly type: 'episodeCorrected'; readonly previousId: string; readonly episode: Episode }
  | { readonly type: 'episodeWithdrawn'; readonly episodeId: string; readonly atMs: number }
  | { readonly type: 'alarmChanged'; readonly alarm: Alarm; readonly atMs: number }
  | { readonly type: 'taskChanged'; readonly task: Task; readonly atMs: number }
  /** An entry of the disposal log; the newest of an id is the one that counts. */
  | { readonly type: 'disposalLogged'; readonly disposal: Disposal; readonly atMs: number }
  /** An entry of the logbook; the newest of a kind and id is the one that counts. */
  | { readonly type: 'logEntryNoted'; readonly entry: LogEntry; readonly atMs: number }
  | { readonly type: 'messageQueued'; readonly message: OutboundMessage; readonly atMs: number }
  /** Somebody is to be told. It leaves after the commit, by the contact's channels. */
  | { readonly type: 'noticeQueued'; readonly notice: Notice; readonly atMs: number }
  /** A quarter of an hour of a machine is over; again after a late reading, and then this one holds. */
  | { readonly type: 'quarterNoted'; readonly quarter: MachineQuarter }
  /** State of a subject through `throughMs`, kept for rebuilding after a late reading. */
  | {
      readonly type: 'subjectSnapshot'
      readonly subjectKey: string
      readonly throughMs: number
      readonly stateJson: string
    }
  /** Snapshots at or after `fromMs` of this subject no longer hold. */
  | { readonly type: 'subjectSnapshotsDropped'; readonly subjectKey: string; readonly fromMs: number }
  /** A reading that came too late to be judged: stored and counted. */
  | {
      readonly type: 'readingsNotJudged'
      readonly nodeId: string
      readonly count: number
      readonly atMs: number
    }
