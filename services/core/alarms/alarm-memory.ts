import type { Condition } from '../model/episode.ts'
import type { Task } from '../model/task.ts'

/** What the kernel must remember of an alarm beside what everybody may see of it. */
export interface AlarmMemory {
  /** When it last arose, oldest first, as far as REALARM-3 needs it. */
  aroseMs: number[]
  /** Its condition is over since `atMs`, and it may yet come back until `untilMs` (REALARM-3). */
  heldReturn: { readonly atMs: number; readonly untilMs: number } | null
  /** Somebody was called for it: it could not wait. */
  called: boolean
  /** The task that was over by itself, and for which trouble. */
  endedTask: { readonly task: Task; readonly condition: Condition } | null
}
