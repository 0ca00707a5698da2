import type { ActOutcome } from '../model/ports/monitor.ts'
import type { KernelState } from './state.ts'

type Act =
  | { readonly type: 'alarmAcknowledged'; readonly alarmId: string }
  | { readonly type: 'taskSignedOff'; readonly taskId: string }
  | {
      readonly type: 'nozzleCheckLogged'
      readonly machineId: string
      readonly missing: readonly { channelGroupId: string }[]
    }
  | { readonly type: 'settings' }

/** Can this act be taken now? A refusal is a value that says why and what to do; nothing refused enters the log. */
export function judgeAct(state: KernelState, act: Act): ActOutcome {
  switch (act.type) {
    case 'alarmAcknowledged': {
      const alarm = state.shop.alarms.get(act.alarmId)
      if (!alarm) return refuse('unknown', `there is no open alarm ${act.alarmId}: reload the board`)
      if (alarm.state === 'normal')
        return refuse('conflict', 'this alarm is already over: nothing is left to take on')
      if (alarm.state === 'acknowledged')
        return refuse('conflict', 'somebody is already on it: see the board for who')
      return OK
    }
    case 'taskSignedOff':
      return state.shop.tasks.has(act.taskId)
        ? OK
        : refuse(
            'conflict',
            'this task is no longer open: somebody signed it off, or it is over. Reload the list',
          )
    case 'nozzleCheckLogged':
      return judgeCheck(state, act)
    case 'settings':
      return OK
  }
}

function judgeCheck(state: KernelState, act: Extract<Act, { type: 'nozzleCheckLogged' }>): ActOutcome {
  const machine = state.settings.machines.find((m) => m.id === act.machineId)
  if (!machine)
    return refuse('unknown', `machineId: there is no machine ${act.machineId}; add it under Setup`)
  const groups = new Set(machine.heads.flatMap((h) => h.channelGroups.map((c) => c.id)))
  const stranger = act.missing.find((m) => !groups.has(m.channelGroupId))
  return stranger
    ? refuse(
        'invalid',
        `missing: ${machine.title} has no channel group ${stranger.channelGroupId}; name one of its own`,
      )
    : OK
}

const OK: ActOutcome = { ok: true }

function refuse(code: 'unknown' | 'conflict' | 'invalid', reason: string): ActOutcome {
  return { ok: false, code, reason }
}
