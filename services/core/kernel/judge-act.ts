import { isInQuiet, isSetAside } from '../alarms/life-cycle.ts'
import { LONGEST_SHELF_MS } from '../model/alarm.ts'
import { learnedKey } from '../model/learned.ts'
import { LONGEST_SNOOZE_MS, type Contact } from '../model/contact.ts'
import type { ActOutcome, Monitor } from '../model/ports/monitor.ts'
import type { Machine } from '../model/settings.ts'
import { judgeEntries } from './log-entries.ts'
import { judgeWork } from './judge-work.ts'
import type { KernelState } from './state.ts'

type Act = Parameters<Monitor['submit']>[0]

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
      if (alarm.state === 'shelved')
        return refuse('conflict', 'this alarm is shelved: take it off the shelf first, under Alarms')
      if (isInQuiet(alarm))
        return refuse('conflict', 'a planned quiet covers this alarm: end the quiet first, and it is told')
      return OK
    }
    case 'alarmShelved':
      return judgeShelving(state, act)
    case 'alarmUnshelved': {
      const alarm = state.shop.alarms.get(act.alarmId)
      if (!alarm) return refuse('unknown', `there is no open alarm ${act.alarmId}: reload the page`)
      return alarm.state === 'shelved'
        ? OK
        : refuse('conflict', 'this alarm is not on the shelf any more: reload the page')
    }
    case 'alarmSnoozed':
      return judgeSnooze(state, act)
    case 'replyPathProven':
    case 'noticeTestAsked':
      return contactOf(state, act.contactId) ? OK : noContact(act.contactId)
    case 'taskSignedOff':
      return state.shop.tasks.has(act.taskId)
        ? OK
        : refuse(
            'conflict',
            'this task is no longer open: somebody signed it off, or it is over. Reload the list',
          )
    case 'taskAssigned':
    case 'taskDeferred':
    case 'routineStarted':
    case 'symptomReported':
    case 'disposalLogged':
      return judgeWork(state, act)
    case 'nozzleCheckLogged':
      return judgeCheck(state, act)
    case 'headChanged':
      return machineOf(state, act.machineId) ? judgeHead(state, act) : noMachine(act.machineId)
    case 'logEntriesNoted':
      return judgeEntries(state.settings, act.entries, act.act.atMs)
    case 'careLogged':
      return judgeCare(state, act)
    case 'capSaid':
    case 'servicingSaid':
    case 'errorStopSaid':
      return machineOf(state, act.machineId) ? OK : noMachine(act.machineId)
    case 'closingStepTicked':
      return judgeTick(state, act)
    case 'closingBegun':
    case 'closingFinished':
      return OK
    case 'quietPlanned':
      return judgeQuiet(state, act)
    case 'quietEnded':
      return state.shop.quiets.has(act.quietId)
        ? OK
        : refuse(
            'unknown',
            'quietId: this planned quiet is over already, or was never planned: reload the board',
          )
    case 'learned':
      return state.waiting.has(learnedKey(act.learned)) || act.act === null
        ? OK
        : refuse('conflict', 'this value no longer waits to be accepted: reload the page')
    case 'settings':
      return OK
  }
}

function contactOf({ settings }: KernelState, contactId: string): Contact | undefined {
  return settings.contacts.find((c) => c.id === contactId)
}

function noContact(contactId: string): ActOutcome {
  return refuse('unknown', `contactId: there is no contact ${contactId}; add it under Setup`)
}

function judgeSnooze(state: KernelState, act: Extract<Act, { type: 'alarmSnoozed' }>): ActOutcome {
  const alarm = state.shop.alarms.get(act.alarmId)
  if (!alarm) return refuse('unknown', `there is no open alarm ${act.alarmId}: reload the board`)
  if (!contactOf(state, act.contactId)) return noContact(act.contactId)
  if (alarm.state !== 'unacknowledged') {
    return refuse('conflict', 'nobody is reminded of this alarm any more: see the board for why')
  }
  const forMs = act.untilMs - act.act.atMs
  return forMs > 0 && forMs <= LONGEST_SNOOZE_MS
    ? OK
    : refuse('invalid', 'untilMs: a snooze ends later than now and within 60 minutes')
}

function judgeShelving(state: KernelState, act: Extract<Act, { type: 'alarmShelved' }>): ActOutcome {
  const alarm = state.shop.alarms.get(act.alarmId)
  if (!alarm) return refuse('unknown', `there is no open alarm ${act.alarmId}: reload the page`)
  if (alarm.state === 'normal') return refuse('conflict', 'this alarm is over: nothing is left to shelve')
  if (isSetAside(alarm))
    return refuse('conflict', 'this alarm is set aside already: see the page Alarms for why and until when')
  if (act.untilMs <= act.act.atMs)
    return refuse('invalid', 'untilMs: the shelf must end after now: give a later time')
  return act.untilMs - act.act.atMs > LONGEST_SHELF_MS
    ? refuse('invalid', 'untilMs: an alarm can be shelved for 7 days at most: give an earlier time')
    : OK
}

function machineOf({ settings }: KernelState, machineId: string): Machine | undefined {
  return settings.machines.find((m) => m.id === machineId)
}

function noMachine(machineId: string): ActOutcome {
  return refuse('unknown', `machineId: there is no machine ${machineId}; add it under Setup`)
}

function judgeCare(state: KernelState, act: Extract<Act, { type: 'careLogged' }>): ActOutcome {
  const machine = machineOf(state, act.machineId)
  if (!machine) return noMachine(act.machineId)
  const stranger = strangerOf(machine, act.channelGroupIds)
  return stranger === undefined
    ? OK
    : refuse(
        'invalid',
        `channelGroupIds: ${machine.title} has no channel group ${stranger}; name one of its own`,
      )
}

function judgeQuiet(state: KernelState, act: Extract<Act, { type: 'quietPlanned' }>): ActOutcome {
  if (act.machineId !== null && !machineOf(state, act.machineId)) return noMachine(act.machineId)
  if (act.toMs !== null && act.toMs <= act.fromMs) {
    return refuse('invalid', 'toMs: the quiet must end after it begins: correct one of the two')
  }
  if (act.kind === 'powerWork' && act.toMs === null) {
    return refuse('invalid', 'toMs: say when the power work ends; it can be ended sooner')
  }
  return state.shop.quiets.has(act.quietId)
    ? refuse('conflict', 'quietId: a planned quiet of this id stands already: choose another')
    : OK
}

function judgeTick(state: KernelState, act: Extract<Act, { type: 'closingStepTicked' }>): ActOutcome {
  const { stepId, machineId } = act
  const step = state.settings.closingSteps.find((s) => s.on && s.id === stepId)
  if (!step) return refuse('unknown', `stepId: the closing list has no step ${stepId}; reload the list`)
  if (machineId !== null && !machineOf(state, machineId)) return noMachine(machineId)
  if ((step.of === 'machine') === (machineId !== null)) return OK
  return step.of === 'machine'
    ? refuse('invalid', 'machineId: this step is done at each machine: say at which')
    : refuse('invalid', 'machineId: this step is done once for the shop: leave the machine out (null)')
}

function strangerOf(machine: Machine, groupIds: readonly string[]): string | undefined {
  const own = new Set(machine.heads.flatMap((h) => h.channelGroups.map((c) => c.id)))
  return groupIds.find((id) => !own.has(id))
}

function judgeCheck(state: KernelState, act: Extract<Act, { type: 'nozzleCheckLogged' }>): ActOutcome {
  if (!machineOf(state, act.machineId)) return noMachine(act.machineId)
  const { machineId, reason, missing, checkId = 'new', note = '', act: by } = act
  const said = { checkId, machineId, reason, missing, note, checkedMs: act.checkedMs ?? by.atMs, void: false }
  return judgeEntries(state.settings, [{ kind: 'nozzleCheck', ...said }], by.atMs)
}

function judgeHead({ settings }: KernelState, act: Extract<Act, { type: 'headChanged' }>): ActOutcome {
  const { changeId, machineId, headId, changedMs, note, act: by } = act
  const said = { changeId, machineId, headId, changedMs, note, void: false }
  return judgeEntries(settings, [{ kind: 'headChange', ...said }], by.atMs)
}

const OK: ActOutcome = { ok: true }

function refuse(code: 'unknown' | 'conflict' | 'invalid', reason: string): ActOutcome {
  return { ok: false, code, reason }
}
