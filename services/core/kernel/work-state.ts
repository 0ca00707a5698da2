import type { Task } from '../model/task.ts'

/** How far a routine on one subject has come. Plain data. */
export interface RoutineProgress {
  /** Turns up to then were decided. A routine counts from when it came under watch, and never before. */
  throughMs: number
  /** Of a counted routine: where the count stood when it was last asked for or done, in ms printed or cleanings. */
  countedFrom: number
}

/** A signed task whose proof is still awaited. */
export interface Proving {
  task: Task
  /** What is not proven by then is told as it stands. */
  untilMs: number
}
