import { statfsSync } from 'node:fs'

const MIB = 1024 * 1024
/** Time enough for somebody to look before nothing can be written. Starting values. */
export const NEARLY_FULL_BYTES = 1024 * MIB
export const FULL_BYTES = 64 * MIB
/** More readings than a store takes in a few rounds: it is behind, though it refuses nothing. Starting value. */
const BEHIND_READINGS = 50_000
/** Messages that wait for the next commit; in a calm shop there are none. Starting value. */
const BACKLOG_MESSAGES = 10_000

/** What is known of the monitor's own condition. */
export interface OwnFacts {
  /** Why nothing can be written, or null. */
  readonly commitProblem: string | null
  /** Free on the disk of the data folder; null where it cannot be asked. */
  readonly freeBytes: number | null
  readonly clockDoubt: string | null
  readonly brokerTroubles: readonly string[]
  readonly heartbeatProblem: string | null
  readonly forwarderProblem: string | null
  /** Readings that the second store has not got yet; 0 where there is none. */
  readonly readingsWaiting: number
  /** Messages that came in and are not committed yet. */
  readonly messagesWaiting: number
}

/** Nothing is wrong. */
export const WELL: OwnFacts = {
  commitProblem: null,
  freeBytes: null,
  clockDoubt: null,
  brokerTroubles: [],
  heartbeatProblem: null,
  forwarderProblem: null,
  readingsWaiting: 0,
  messagesWaiting: 0,
}

export interface OwnHealth {
  /** False when it does not do its work: nothing can be written. */
  readonly ok: boolean
  /** Each with its cure, the gravest first. */
  readonly problems: readonly string[]
  /** Of the problems those that the board tells as a next step. */
  readonly forTheBoard: readonly string[]
}

/**
 * How the monitor itself is, in words.
 *
 * OWN-1 it is not well when nothing can be written; all else is told and lets it go on, since a restart cures none of it.
 * OWN-2 a disk with less than 1 GiB free is nearly full, one with less than 64 MiB is full (starting values).
 * OWN-3 readings that wait for a second store are told when it refuses them, and when more than 50,000 wait.
 */
export function judgeOwnHealth(facts: OwnFacts): OwnHealth {
  const own = [facts.commitProblem, diskProblem(facts.freeBytes), facts.clockDoubt]
  const around = [...facts.brokerTroubles, facts.heartbeatProblem, backlogProblem(facts.messagesWaiting)]
  const forTheBoard = [...own, ...around].filter((p) => p !== null)
  const store = storeProblem(facts.forwarderProblem, facts.readingsWaiting)
  return {
    ok: facts.commitProblem === null,
    problems: store === null ? forTheBoard : [...forTheBoard, store],
    forTheBoard,
  }
}

/** Is the monitor well enough to be vouched for outside? */
export function isTrulyWell({
  commitProblem,
  freeBytes,
  clockDoubt,
}: Pick<OwnFacts, 'commitProblem' | 'freeBytes' | 'clockDoubt'>): boolean {
  return commitProblem === null && clockDoubt === null && (freeBytes === null || freeBytes >= FULL_BYTES)
}

/** Bytes that this user may still write on the disk of a folder, or null where the system does not tell. */
export function freeBytesOf(folder: string): number | null {
  try {
    const { bavail, bsize } = statfsSync(folder)
    return bavail * bsize
  } catch {
    return null
  }
}

function diskProblem(freeBytes: number | null): string | null {
  if (freeBytes === null || freeBytes >= NEARLY_FULL_BYTES) return null
  const left = `${Math.floor(freeBytes / MIB)} MB are left`
  const cure = 'make room there, or move the data folder to a larger disk'
  return freeBytes < FULL_BYTES
    ? `the disk of the data folder is full (${left}): ${cure}; what cannot be written stays at the nodes`
    : `the disk of the data folder is nearly full (${left}): ${cure}`
}

function storeProblem(problem: string | null, waiting: number): string | null {
  if (problem !== null) return `${problem}${waiting > 0 ? `; ${readingsText(waiting)} so far` : ''}`
  return waiting > BEHIND_READINGS
    ? `the history store is behind: ${readingsText(waiting)} for it here, and nothing is lost`
    : null
}

function backlogProblem(messages: number): string | null {
  return messages > BACKLOG_MESSAGES
    ? `the monitor is behind: ${messages.toLocaleString('en')} messages wait to be written; look for a slow disk, or a node that sends too much`
    : null
}

/** The store counts no further than a million. */
function readingsText(waiting: number): string {
  return waiting >= 1_000_000
    ? 'over a million readings wait'
    : `${waiting.toLocaleString('en')} readings wait`
}
