import type { ClosingView } from '../closing.ts'
import type { InputBody, Reading } from '../input.ts'
import type { Learned } from '../learned.ts'
import type { BoardView, QuietView, SensorsView } from '../views.ts'
import type { Emptied } from '../disposal.ts'
import type { Proof, Task } from '../task.ts'
import type { Settings } from '../settings.ts'

/** What came of an act: refused acts are values, with a cure a person can follow. */
export type ActOutcome =
  | { readonly ok: true }
  | { readonly ok: false; readonly code: 'unknown' | 'conflict' | 'invalid'; readonly reason: string }

export type HumanAct = Extract<
  InputBody,
  {
    type:
      | 'settings'
      | 'alarmAcknowledged'
      | 'alarmShelved'
      | 'alarmUnshelved'
      | 'alarmSnoozed'
      | 'replyPathProven'
      | 'noticeTestAsked'
      | 'taskSignedOff'
      | 'taskAssigned'
      | 'taskDeferred'
      | 'routineStarted'
      | 'symptomReported'
      | 'disposalLogged'
      | 'nozzleCheckLogged'
      | 'careLogged'
      | 'headChanged'
      | 'logEntriesNoted'
      | 'capSaid'
      | 'servicingSaid'
      | 'errorStopSaid'
      | 'closingBegun'
      | 'closingStepTicked'
      | 'closingFinished'
      | 'quietPlanned'
      | 'quietEnded'
      | 'learned'
  }
>
type WithoutStamp<T> = T extends unknown ? Omit<T, 'atMs' | 'receivedMs'> : never

/** What moved since the last notice; sent after the commit, at most a few times a second. */
export interface LiveNotice {
  readonly lastEventId: number
  /** Newest reading of each sensor that spoke. */
  readonly latest: readonly Reading[]
}

/** Where sensor nodes find the broker. */
export interface WayIn {
  /** `own`: the embedded broker; `other`: one that the configuration names, which keeps its own secrets. */
  readonly broker: 'own' | 'other'
  readonly host: string
  readonly port: number
  readonly encrypted: boolean
  /** Nothing outside this computer can reach it. */
  readonly thisComputerOnly: boolean
}

/** The running monitor as the web sees it. */
export interface Monitor {
  nowMs: () => number
  settings: () => Settings
  /** What was learned: in force, and what waits for a person because it moved far. */
  learned: () => { readonly inForce: readonly Learned[]; readonly waiting: readonly Learned[] }
  /** Planned quiet that is not over. */
  quiets: () => readonly QuietView[]
  /** Contacts whose reply path is proven, and when it was: of the others silence means nothing. */
  replyPaths: () => readonly { readonly contactId: string; readonly provenMs: number }[]
  /** Puts a human act on the log; resolves after the commit. */
  submit: (act: WithoutStamp<HumanAct>) => Promise<ActOutcome>
  board: () => BoardView
  sensors: () => SensorsView
  /** What sensors say now of whether this task was done; null where none can tell. */
  proofNow: (task: Task) => Proof | null
  /** The last emptying that each scale saw, the newest first. */
  lastEmptyings: () => readonly Emptied[]
  closing: () => ClosingView
  /** Calls `listener` after commits; gives the way to stop. */
  subscribe: (listener: (notice: LiveNotice) => void) => () => void
  /** The node's secret was replaced or revoked: connections that came in with the old one end now. */
  nodeSecretChanged: (nodeId: string) => void
  wayIn: () => WayIn
  /** Readings not yet handed on to a second store; 0 where there is none. Counted up to a million. */
  readingsWaiting: () => number
  /** Is it well itself? For /healthz. */
  health: () => { readonly ok: boolean; readonly problems: readonly string[] }
}
