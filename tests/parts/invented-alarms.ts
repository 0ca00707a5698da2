import { alarmReason } from '../../services/core/alarms/alarm-reason.ts'
import { taskAdvice } from '../../services/core/advise/task-advice.ts'
import { whyOf } from '../../services/core/advise/why/why-of.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Condition, Episode } from '../../services/core/model/episode.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { subjectKey, type Subject } from '../../services/core/model/subject.ts'
import { taskSchema, type Proof, type Task } from '../../services/core/model/task.ts'
import type { WhyView } from '../../services/core/model/views.ts'
import { inventedSettings } from './invented-tasks.ts'

const MIN = 60_000

export type TaskAnswer = Task & {
  signedOffBy: string | null
  assignee: string | null
  proofNow: Proof | null
}

interface Invented {
  readonly condition: Condition
  readonly subject: Subject
  readonly sinceMin: number
  readonly value: number | null
}

/** What is wrong in the invented shop, one alarm each. */
const INVENTED = [
  { condition: 'offItsCap', subject: { kind: 'machine', id: 'roll' }, sinceMin: 22, value: 0 },
  { condition: 'airDry', subject: { kind: 'room', id: 'back-room' }, sinceMin: 170, value: 36 },
  { condition: 'bottleNear', subject: { kind: 'bottle', id: 'back-waste' }, sinceMin: 95, value: 82 },
  {
    condition: 'sensorSilent',
    subject: { kind: 'sensor', id: 'corner-node/humidity' },
    sinceMin: 185,
    value: null,
  },
] as const satisfies readonly Invented[]

type Told = (typeof INVENTED)[number]['condition']

const group = (id: string, title: string, ink: 'colour' | 'white') => ({ id, title, ink })
const head = (id: string) => ({
  id: `${id}-head`,
  title: 'Head 1',
  channelGroups: [group(`${id}-colour`, 'Colour', 'colour'), group(`${id}-white`, 'White', 'white')],
})

/** The settings that the board of the invented shop comes from: its machines with their heads. */
export function boardSettings(): Settings {
  const settings = inventedSettings()
  const more = [
    { ...settings.machines[0], id: 'right', title: 'Roll 60, right bench', room: 'floor' },
    { ...settings.machines[0], id: 'stored', title: 'Sheet A4, shelf', room: 'floor' },
  ]
  const machines = [...settings.machines, ...more].map((m) => ({ ...m, heads: [head(m.id ?? '')] }))
  return { ...settings, machines: machines as Settings['machines'] }
}

/** An alarm in the words of the real core, and why, from an episode that nobody had. */
export function inventedAlarm(
  { condition, subject, sinceMin, value }: Invented,
  { nowMs, shopClosed }: { nowMs: number; shopClosed: boolean },
): { alarm: Alarm; why: WhyView } {
  const settings = boardSettings()
  const fromMs = nowMs - sinceMin * MIN
  const rootKey = `${condition}|${subjectKey(subject)}`
  const episode: Episode = {
    id: `${rootKey}|${fromMs}`,
    condition,
    subject,
    judgedUnder: subjectKey(subject),
    fromMs,
    openedMs: fromMs + MIN,
    toMs: null,
    closedMs: null,
    value,
    worst: value,
    shopClosed,
  }
  const alarm: Alarm = {
    ...alarmReason(episode, { settings, nowMs }),
    id: `alarm|${episode.id}`,
    rootKey,
    condition,
    subject,
    episodeIds: [episode.id],
    leadEpisodeId: episode.id,
    state: 'unacknowledged',
    openedMs: episode.openedMs,
    returnedMs: null,
    activations: 1,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
  }
  return { alarm, why: whyOf(episode, settings) }
}

/** All alarms of the invented night, by condition. */
export function inventedAlarms(nowMs: number): Record<Told, { alarm: Alarm; why: WhyView }> {
  const entries = INVENTED.map(
    (invented) => [invented.condition, inventedAlarm(invented, { nowMs, shopClosed: true })] as const,
  )
  return Object.fromEntries(entries) as Record<Told, { alarm: Alarm; why: WhyView }>
}

/** Of the machine that is put away: its power is off, as planned. */
export function inventedPutAway(nowMs: number): { alarm: Alarm; why: WhyView } {
  const off = { condition: 'leftOff', subject: { kind: 'machine', id: 'stored' }, sinceMin: 250 } as const
  const { alarm, why } = inventedAlarm({ ...off, value: null }, { nowMs, shopClosed: true })
  const quiet = { quietId: 'quiet-1', untilMs: null, note: 'waits for a part' }
  return { alarm: { ...alarm, state: 'outOfService', quiet }, why }
}

/** The tasks those alarms ask for, and one that was signed off. */
export function inventedTasks(nowMs: number): TaskAnswer[] {
  const settings = boardSettings()
  const alarms = inventedAlarms(nowMs)
  const taskOf = (condition: Told): TaskAnswer => {
    const { alarm } = alarms[condition]
    const task = taskSchema.parse({
      ...taskAdvice(alarm, settings),
      id: `task|${alarm.rootKey}`,
      alarmId: alarm.id,
      subject: alarm.subject,
      urgency: alarm.urgency,
      state: 'open',
      openedMs: alarm.openedMs,
      closedMs: null,
      signedOff: null,
    })
    return { ...task, signedOffBy: null, assignee: null, proofNow: null }
  }
  const closedMs = nowMs - 26 * 60 * MIN
  const done: TaskAnswer = {
    ...taskOf('bottleNear'),
    id: 'task|done',
    title: 'Empty Waste bottle, window',
    state: 'signedOff',
    openedMs: closedMs - 40 * MIN,
    closedMs,
    signedOff: { actorId: 'person-1', via: 'screen', atMs: closedMs, note: '1.6 L to the drum' },
    signedOffBy: 'Mira',
  }
  return [...INVENTED.map(({ condition }) => taskOf(condition)), done]
}
