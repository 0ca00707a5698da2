/** What grows with time and is thrown away for its age. */
export const PRUNE_KINDS = [
  'inputs',
  'events',
  'messages',
  'notices',
  'deliveries',
  'conflicts',
  'sessions',
  'signInCodes',
  'answers',
] as const
export type PruneKind = (typeof PRUNE_KINDS)[number]

/** Throws away what nobody asks for any more, a little at a time. */
export interface Pruner {
  /**
   * Removes what of this kind is older than `beforeMs`, looking at most at `most` rows or removing at most so many, inside
   * the caller's transaction. `done` when nothing older is left.
   *
   * OLD-1 inputs: packs whose readings have gone, deadlines, the coming and going of nodes, readings refused as ahead. What
   *       people said, settings, what was learned and when the monitor was dark stay for good: a rerun of the past and
   *       every record of who did what need them. The newest input stays, and all after the kernel's snapshot.
   * OLD-2 events for screens, by their time; the newest stays, so that numbers go on from it.
   * OLD-3 messages that were delivered or replaced, by when that was; those that wait stay.
   * OLD-4 notices that were settled or replaced; deliveries whose notice has gone; those that wait stay.
   * OLD-5 readings kept apart as conflicts, by when they were measured; sessions, sign-in codes and answers to requests
   *       with a key, by when they ended.
   */
  readonly prune: (
    kind: PruneKind,
    query: { beforeMs: number; most: number },
  ) => { gone: number; done: boolean }
  /** When the oldest raw reading was measured, or null. */
  readonly oldestReadingMs: () => number | null
}
