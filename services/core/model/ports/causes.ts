import type { CausesQuestion, CausesStatus } from '../causes-view.ts'

/** Causes as the web sees it: pages are worked out aside, and kept until what they rest on changes. */
export interface Causes {
  /** What is kept of a question, and whether it is being worked on. */
  status: (question: CausesQuestion) => CausesStatus
  /** Begins to work it out, unless that is under way. Another question that was under way is dropped. */
  start: (question: CausesQuestion) => void
  /** Drops what is under way. */
  drop: () => Promise<void>
  /** All nights with their outcomes: a head and rows. @throws {Error} if they cannot be read. */
  table: () => Promise<readonly (readonly (string | number | null)[])[]>
}
