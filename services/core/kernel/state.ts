import type { SilentState } from '../detect/sensor-silent.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Episode } from '../model/episode.ts'
import { settingsSchema, type Settings } from '../model/settings.ts'
import type { Task } from '../model/task.ts'
import { planOf, type Plan } from './plan.ts'
import { createRecentStates, type RecentStates } from './recent-states.ts'
import { subjectFromJson, subjectToJson, type SubjectState } from './subject-state.ts'

/** Changes whenever the same log could give other effects. */
export const KERNEL_VERSION = '1'

export interface SensorState extends SilentState {
  episode: Episode | null
}

/** What a node's packs say of themselves. */
export interface NodeState {
  online: boolean | null
  lastReceivedMs: number | null
  bootId: string | null
  /** Highest pack number of this boot. */
  highest: number
  /** Numbers below `highest` that have not come, as ranges, oldest first. */
  missing: [number, number][]
  /** Packs that never came: missing in earlier boots, and ranges beyond those remembered. */
  lostPacks: number
  droppedPacks: number
}

export interface ShopState {
  readonly alarms: Map<string, Alarm>
  readonly tasks: Map<string, Task>
  /** Episodes that hold an alarm open. */
  readonly openEpisodes: Map<string, string>
  nextAlarm: number
  nextTask: number
  /** What was last published of each machine. */
  readonly published: Map<string, string>
}

export interface KernelState {
  settings: Settings
  settingsSeq: number
  plan: Plan
  /** How far the monitor's clock has moved deadlines. */
  clockMs: number
  readonly subjects: Map<string, SubjectState>
  readonly sensors: Map<string, SensorState>
  readonly nodes: Map<string, NodeState>
  readonly shop: ShopState
  /** A shortcut, not part of the state: see there. */
  readonly recent: RecentStates
}

export function initialKernel(settings: Settings): KernelState {
  return {
    settings,
    settingsSeq: 0,
    plan: planOf(settings),
    clockMs: -Infinity,
    subjects: new Map(),
    sensors: new Map(),
    nodes: new Map(),
    recent: createRecentStates(),
    shop: {
      alarms: new Map(),
      tasks: new Map(),
      openEpisodes: new Map(),
      nextAlarm: 1,
      nextTask: 1,
      published: new Map(),
    },
  }
}

/** The state as text, in a form that gives it back equal. */
export function kernelToJson(state: KernelState): string {
  const { shop } = state
  return JSON.stringify({
    settings: state.settings,
    settingsSeq: state.settingsSeq,
    clockMs: state.clockMs === -Infinity ? null : state.clockMs,
    subjects: [...state.subjects].map(([key, s]) => [key, subjectToJson(s)]),
    sensors: [...state.sensors],
    nodes: [...state.nodes],
    shop: {
      alarms: [...shop.alarms],
      tasks: [...shop.tasks],
      openEpisodes: [...shop.openEpisodes],
      nextAlarm: shop.nextAlarm,
      nextTask: shop.nextTask,
      published: [...shop.published],
    },
  })
}

interface KernelJson {
  settings: unknown
  settingsSeq: number
  clockMs: number | null
  subjects: [string, string][]
  sensors: [string, SensorState][]
  nodes: [string, NodeState][]
  shop: {
    alarms: [string, Alarm][]
    tasks: [string, Task][]
    openEpisodes: [string, string][]
    nextAlarm: number
    nextTask: number
    published: [string, string][]
  }
}

export function kernelFromJson(json: string): KernelState {
  const kept = JSON.parse(json) as KernelJson
  const settings = settingsSchema.parse(kept.settings)
  const { shop } = kept
  return {
    settings,
    settingsSeq: kept.settingsSeq,
    plan: planOf(settings),
    clockMs: kept.clockMs ?? -Infinity,
    subjects: new Map(kept.subjects.map(([key, s]) => [key, subjectFromJson(s)])),
    sensors: new Map(kept.sensors),
    nodes: new Map(kept.nodes),
    recent: createRecentStates(),
    shop: {
      alarms: new Map(shop.alarms),
      tasks: new Map(shop.tasks),
      openEpisodes: new Map(shop.openEpisodes),
      nextAlarm: shop.nextAlarm,
      nextTask: shop.nextTask,
      published: new Map(shop.published),
    },
  }
}
