import type { Database } from 'better-sqlite3'
import type { Alarm } from '../../core/model/alarm.ts'
import type { Task } from '../../core/model/task.ts'
import { createAlarmChangeWriter } from './alarm-changes.ts'
import type { Events } from './events.ts'

export interface AlarmsAndTasks {
  readonly putAlarm: (alarm: Alarm, atMs: number) => void
  readonly putTask: (task: Task, atMs: number) => void
}

/** Each as it stands now, and an event for each change; what alarms did is kept beside. */
export function createAlarmsAndTasks(db: Database, events: Events): AlarmsAndTasks {
  const upsertAlarm = db.prepare<[string, string, number, string]>(
    `INSERT INTO alarm (id, state, opened_ms, json) VALUES (?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET state = excluded.state, opened_ms = excluded.opened_ms, json = excluded.json`,
  )
  const noteChange = createAlarmChangeWriter(db)
  const upsertTask = db.prepare<[string, string, number, number, string]>(
    `INSERT INTO task (id, state, opened_ms, changed_ms, json) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET state = excluded.state, opened_ms = excluded.opened_ms,
       changed_ms = excluded.changed_ms, json = excluded.json`,
  )
  return {
    putAlarm: (alarm, atMs) => {
      noteChange(alarm, atMs)
      upsertAlarm.run(alarm.id, alarm.state, alarm.openedMs, JSON.stringify(alarm))
      events.add(atMs, 'alarm', { id: alarm.id, state: alarm.state, title: alarm.title })
    },
    putTask: (task, atMs) => {
      upsertTask.run(task.id, task.state, task.openedMs, atMs, JSON.stringify(task))
      events.add(atMs, 'task', { id: task.id, state: task.state, title: task.title })
    },
  }
}
