import type { Notice } from '../../services/core/model/notice.ts'
import type { Disposal } from '../../services/core/model/disposal.ts'
import type { CareEntry, HeadChange, LogNote, NozzleCheck } from '../../services/core/model/log-entry.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { OutboundMessage } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { Input, InputOf, Reading } from '../../services/core/model/input.ts'
import type { HeardSensorNote } from '../../services/core/model/ports/records.ts'
import type { Rejection } from '../../services/core/model/rejection.ts'
import { subjectKey } from '../../services/core/model/subject.ts'
import { taskSchema, type Task } from '../../services/core/model/task.ts'
import { testSettings } from '../parts/shop-settings.ts'

/** A Wednesday in 2026. */
export const T0 = Date.parse('2026-11-25T15:30:00Z')
export const FLOOR = { kind: 'room', id: 'floor' } as const
export const FLOOR_KEY = subjectKey(FLOOR)

export function reading(atS: number, value = 45, sensorId = 'bench/humidity'): Reading {
  return { sensorId, quantity: 'humidity', atMs: T0 + atS * 1000, value }
}

export function pack(seq: number, readings: readonly Reading[]): Input {
  const atMs = readings.at(-1)?.atMs ?? T0
  const mark = { bootId: 'boot-1', packSequence: seq, droppedPacks: 0 }
  return {
    type: 'readings',
    seq,
    atMs,
    receivedMs: atMs + 300,
    nodeId: 'bench',
    pack: mark,
    readings: [...readings],
  }
}

export function settingsInput(seq: number, atMs: number, title = 'Quayside Film & Print'): Input {
  const settings = testSettings({ site: { id: 'quayside', title } })
  return {
    type: 'settings',
    seq,
    atMs,
    receivedMs: atMs,
    act: { actorId: 'owner', via: 'screen', atMs },
    settings,
  }
}

export function deadline(seq: number, atMs = T0 + seq): Input {
  return { type: 'deadline', seq, atMs, receivedMs: atMs + 2000 }
}

export function learnedInput(seq: number, atMs: number, version: string): InputOf<'learned'> {
  const learned = {
    kind: 'roomNights' as const,
    subjectId: 'floor',
    fromMs: 0,
    toMs: atMs,
    version,
    days: [],
  }
  return { type: 'learned', seq, atMs, receivedMs: atMs, learned, waiting: false, act: null }
}

export function capSaid(seq: number, atMs: number): InputOf<'capSaid'> {
  const act = { actorId: 'ana', via: 'screen' as const, atMs }
  return { type: 'capSaid', seq, atMs, receivedMs: atMs, act, machineId: 'roll', capped: true }
}

export function episode(fromMs: number, change: Partial<Episode> = {}): Episode {
  const subject = change.subject ?? FLOOR
  return {
    id: `airDry|${subjectKey(subject)}|${fromMs}`,
    condition: 'airDry',
    subject,
    judgedUnder: subjectKey(subject),
    fromMs,
    openedMs: fromMs + 600_000,
    toMs: null,
    closedMs: null,
    value: 38.5,
    worst: 37.25,
    shopClosed: true,
    ...change,
  }
}

export function alarm(id: string, change: Partial<Alarm> = {}): Alarm {
  return {
    id,
    rootKey: FLOOR_KEY,
    condition: 'airDry',
    subject: FLOOR,
    episodeIds: [`airDry|${FLOOR_KEY}|${T0}`],
    leadEpisodeId: `airDry|${FLOOR_KEY}|${T0}`,
    state: 'unacknowledged',
    urgency: 'now',
    priority: 'low',
    title: 'The air on the print floor is dry',
    cause: 'dry air',
    consequence: 'ink dries at the nozzles',
    action: 'fill the humidifier',
    timeToAct: 'within the hour',
    openedMs: T0,
    returnedMs: null,
    activations: 1,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
    ...change,
  }
}

export function task(id: string, change: Partial<Task> = {}): Task {
  return taskSchema.parse({
    id,
    alarmId: 'alarm-1',
    subject: FLOOR,
    title: 'Raise the humidity',
    why: 'The air is dry',
    steps: ['Fill the humidifier'],
    cautions: [],
    supplies: ['water'],
    urgency: 'now',
    state: 'open',
    openedMs: T0,
    closedMs: null,
    signedOff: null,
    ...change,
  })
}

export function disposal(disposalId: string, change: Partial<Disposal> = {}): Disposal {
  return {
    disposalId,
    bottleId: 'roll-waste',
    volumeMl: 1400,
    toWhom: 'Harbour hauling',
    note: '',
    disposedMs: T0,
    act: { actorId: 'ana', via: 'screen', atMs: T0 },
    ...change,
  }
}

const BY_ANA = { act: { actorId: 'ana', via: 'screen', atMs: T0 }, void: false } as const

export function nozzleCheck(checkId: string, change: Partial<NozzleCheck> = {}): NozzleCheck {
  const said = { machineId: 'roll', checkedMs: T0, reason: 'routine', note: '' } as const
  return { kind: 'nozzleCheck', checkId, ...said, missing: [], ...BY_ANA, ...change }
}

export function careEntry(careId: string, change: Partial<CareEntry> = {}): CareEntry {
  const said = { machineId: 'roll', care: 'cleaned', doneMs: T0 } as const
  return {
    kind: 'care',
    careId,
    ...said,
    channelGroupIds: [],
    helpedSaid: null,
    note: '',
    ...BY_ANA,
    ...change,
  }
}

export function logNote(noteId: string, change: Partial<LogNote> = {}): LogNote {
  const said = { subject: { kind: 'room', id: 'floor' }, text: 'the window stood open', atMs: T0 } as const
  return { kind: 'note', noteId, ...said, ...BY_ANA, ...change }
}

export function headChange(changeId: string, change: Partial<HeadChange> = {}): HeadChange {
  const said = { machineId: 'roll', headId: 'roll-head', changedMs: T0, note: '' }
  return { kind: 'headChange', changeId, ...said, ...BY_ANA, ...change }
}

export function message(idempotencyKey: string, replaceKey = 'machine:roll'): OutboundMessage {
  return {
    idempotencyKey,
    channel: 'machineState',
    replaceKey,
    body: { standing: 'well', n: idempotencyKey },
  }
}

export function rejection(topic: string, sample: string): Rejection {
  return { topic, code: 'notJson', reason: 'the payload is not JSON: send a SenML pack', sample }
}

export function heard(change: Partial<HeardSensorNote> = {}): HeardSensorNote {
  return {
    sensorId: 'bench/humidity',
    nodeId: 'bench',
    quantity: 'humidity',
    atMs: T0,
    receivedMs: T0 + 300,
    value: 45,
    intervalMs: 60_000,
    readings: 3,
    ...change,
  }
}

export function noticeOf(change: Partial<Notice> = {}): Notice {
  return {
    key: 'notice',
    contactId: 'first',
    kind: 'alarm',
    alarmId: 'alarm dry',
    urgency: 'high',
    title: 'The air at the floor is very dry',
    body: 'The ink of two heads is drying.',
    topic: 'dry',
    asksForReply: true,
    page: '/alarms',
    expiresMs: T0 + 3_600_000,
    ...change,
  }
}
