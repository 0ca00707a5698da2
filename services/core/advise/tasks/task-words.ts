import type { Alarm } from '../../model/alarm.ts'
import type { Condition } from '../../model/episode.ts'
import type { Settings } from '../../model/settings.ts'
import type { Task } from '../../model/task.ts'

/** What a task tells the person who does it. */
export type TaskAdvice = Pick<Task, 'title' | 'why' | 'steps' | 'cautions' | 'supplies'>

export interface TaskMaterial {
  readonly alarm: Alarm
  readonly settings: Settings
  /** The subject as a person calls it. */
  readonly title: string
  /** The machine that the subject is, or is a part of. */
  readonly machine: string
}

export type TasksOf<C extends Condition> = Record<C, (material: TaskMaterial) => TaskAdvice>
