import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Condition, Episode } from '../../services/core/model/episode.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { Notice } from '../../services/core/model/notice.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { Task } from '../../services/core/model/task.ts'
import { liveThrough, packInput, replayLog, settingsInput, type Arrival } from './kernel-run.ts'
import { createMemoryBookOfRecord } from './memory-book-of-record.ts'

const MIN = 60_000

type WithoutStamp<T> = T extends unknown ? Omit<T, 'atMs' | 'receivedMs' | 'act'> : never

export interface Story {
  readonly settings: Settings
  readonly startMs: number
  readonly minutes: number
  /** What each sensor reads in a minute; one that is left out, or null, says nothing. */
  readonly values: (minute: number) => Readonly<Record<string, number | null>>
  /** What people say, and the monitor itself, each at its minute. */
  readonly said?: readonly (readonly [minute: number, body: WithoutStamp<InputBody>])[]
}

export interface ToldStory {
  readonly effects: readonly Effect[]
  /** The last word on each. */
  readonly alarms: readonly Alarm[]
  readonly tasks: readonly Task[]
  /** What people got, each with the minute of the story. */
  readonly notices: readonly (Notice & { readonly minute: number })[]
  /** Episodes of a condition as they ended, in minutes of the story. */
  readonly episodes: (condition: Condition) => readonly {
    subject: string
    from: number
    opened: number
    closed: number | null
    value: number | null
  }[]
  readonly conditions: () => readonly Condition[]
}

/** Lives through a story minute by minute, with one pack a minute, through the whole kernel. */
export function tellStory({ settings, startMs, minutes, values, said = [] }: Story): ToldStory {
  const quantityOf = new Map(settings.sensors.map((s) => [s.id, s.quantity]))
  const arrivals: Arrival[] = [{ receivedMs: startMs - 1, body: settingsInput(settings, startMs - 1) }]
  for (let minute = 0; minute < minutes; minute++) {
    const atMs = startMs + minute * MIN
    const readings = Object.entries(values(minute)).flatMap(([sensorId, value]) => {
      const quantity = quantityOf.get(sensorId)
      return value === null || quantity === undefined ? [] : [{ sensorId, quantity, atMs, value }]
    })
    if (readings.length > 0) arrivals.push({ receivedMs: atMs + 50, body: packInput(atMs + 50, readings) })
  }
  for (const [minute, body] of said) {
    const atMs = startMs + minute * MIN + 100
    const stamp = { atMs, receivedMs: atMs, act: { actorId: 'ana', via: 'screen' as const, atMs } }
    arrivals.push({ receivedMs: atMs, body: { ...stamp, ...body } })
  }
  arrivals.sort((a, b) => a.receivedMs - b.receivedMs)
  const log = liveThrough(createMemoryBookOfRecord(), arrivals, startMs + minutes * MIN)
  const once = { chunkOf: () => 1, restartAfter: () => false }
  return told(replayLog(createMemoryBookOfRecord(), log, once).effects.flat(), startMs)
}

function told(effects: readonly Effect[], startMs: number): ToldStory {
  const alarms = new Map<string, Alarm>()
  const tasks = new Map<string, Task>()
  const episodes = new Map<string, Episode>()
  for (const e of effects) {
    if (e.type === 'alarmChanged') alarms.set(e.alarm.id, e.alarm)
    if (e.type === 'taskChanged') tasks.set(e.task.id, e.task)
    if (e.type === 'episodeOpened' || e.type === 'episodeClosed') episodes.set(e.episode.id, e.episode)
  }
  const minuteOf = (atMs: number): number => Math.round((atMs - startMs) / MIN)
  return {
    effects,
    alarms: [...alarms.values()],
    tasks: [...tasks.values()],
    notices: effects.flatMap((e) =>
      e.type === 'noticeQueued' ? [{ ...e.notice, minute: minuteOf(e.atMs) }] : [],
    ),
    episodes: (condition) =>
      [...episodes.values()]
        .filter((e) => e.condition === condition)
        .map((e) => ({
          subject: `${e.subject.kind}:${e.subject.id}`,
          from: minuteOf(e.fromMs),
          opened: minuteOf(e.openedMs),
          closed: e.closedMs === null ? null : minuteOf(e.closedMs),
          value: e.value === null ? null : Math.round(e.value),
        })),
    conditions: () => [...new Set([...episodes.values()].map((e) => e.condition))],
  }
}
