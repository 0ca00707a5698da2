import { machineTitleOf, titleOf } from '../alarms/subject-title.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Condition } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'
import { airTasks } from './tasks/air.ts'
import { bottleTasks } from './tasks/bottle.ts'
import { headTasks } from './tasks/head.ts'
import { monitorTasks } from './tasks/monitor.ts'
import { powerTasks } from './tasks/power.ts'
import { sensorTasks } from './tasks/sensors.ts'
import type { TaskAdvice, TasksOf } from './tasks/task-words.ts'

export type { TaskAdvice } from './tasks/task-words.ts'

const TASKS: TasksOf<Condition> = {
  ...airTasks,
  ...headTasks,
  ...powerTasks,
  ...bottleTasks,
  ...sensorTasks,
  ...monitorTasks,
}

/**
 * The task that an alarm asks for. Steps are common practice, no source; cautions defer to the manual, to local
 * codes and to licensed practice.
 */
export function taskAdvice(alarm: Alarm, settings: Settings): TaskAdvice {
  const { subject } = alarm
  return TASKS[alarm.condition]({
    alarm,
    settings,
    title: titleOf(subject, settings),
    machine: machineTitleOf(subject, settings),
  })
}
