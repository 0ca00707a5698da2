import { judgeAct } from '../../kernel/judge-act.ts'
import type { KernelState } from '../../kernel/state.ts'
import type { Input, InputOf } from '../../model/input.ts'
import type { Past } from '../../model/ports/past.ts'

type AlarmAct = InputOf<'alarmAcknowledged' | 'alarmShelved' | 'alarmUnshelved' | 'alarmSnoozed'>
type TaskAct = InputOf<'taskSignedOff' | 'taskAssigned' | 'taskDeferred'>

/**
 * The input as it is meant in another past, where alarms and tasks have other numbers: an answer goes to what stands of
 * the same root, or of the same work. null where nothing does, or where it can no longer be taken.
 */
export function translated(
  input: Input,
  state: KernelState,
  past: Pick<Past, 'alarm' | 'task'>,
): Input | null {
  const meant = isAlarmAct(input)
    ? ofAlarm(input, state, past)
    : isTaskAct(input)
      ? ofTask(input, state, past)
      : null
  if (meant === null) return isAlarmAct(input) || isTaskAct(input) ? null : input
  return judgeAct(state, meant).ok ? meant : null
}

function isAlarmAct(input: Input): input is AlarmAct {
  return (
    input.type === 'alarmAcknowledged' ||
    input.type === 'alarmShelved' ||
    input.type === 'alarmUnshelved' ||
    input.type === 'alarmSnoozed'
  )
}

function isTaskAct(input: Input): input is TaskAct {
  return input.type === 'taskSignedOff' || input.type === 'taskAssigned' || input.type === 'taskDeferred'
}

function ofAlarm(input: AlarmAct, { shop }: KernelState, past: Pick<Past, 'alarm'>): AlarmAct | null {
  const rootKey = past.alarm(input.alarmId)?.rootKey
  const alarms = [...shop.alarms.values()]
  const alarm = alarms.find((a) => a.rootKey === rootKey && a.state !== 'normal')
  return alarm ? { ...input, alarmId: alarm.id } : null
}

function ofTask(input: TaskAct, { shop }: KernelState, past: Pick<Past, 'task'>): TaskAct | null {
  const workKey = past.task(input.taskId)?.workKey
  const task = [...shop.tasks.values()].find((t) => t.workKey === workKey && t.state === 'open')
  return task ? { ...input, taskId: task.id } : null
}
