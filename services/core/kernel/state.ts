import type { ClockAheadState } from '../detect/clock-ahead.ts'
import type { ReadingsMissingState } from '../detect/readings-missing.ts'
import type { SilentState } from '../detect/sensor-silent.ts'
import {
  initialTelling,
  tellingFromJson,
  tellingToJson,
  type TellingJson,
  type TellingState,
} from '../alarms/telling/telling-state.ts'
import type { AlarmMemory } from '../alarms/alarm-memory.ts'
import { NO_FLOOD, type Flood } from '../alarms/flood.ts'
import type { Alarm } from '../model/alarm.ts'
import { initialClosing, type ClosingState } from '../model/closing.ts'
import type { Episode } from '../model/episode.ts'
import type { InputOf } from '../model/input.ts'
import type { Learned, LearnedValues } from '../model/learned.ts'
import { settingsSchema, type Settings } from '../model/settings.ts'
import type { Task } from '../model/task.ts'
import { planOf, type Plan } from './plan.ts'
import type { Proving, RoutineProgress } from './work-state.ts'
import { subjectFromJson, subjectToJson, type SubjectState } from './subject-state.ts'

/** Changes whenever the same log could give other effects. */
export const KERNEL_VERSION = '4'

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
  clockAhead: ClockAheadState
  readingsMissing: ReadingsMissingState
  open: { clockAhead: Episode | null; readingsMissing: Episode | null }
}

export interface OpenEpisode {
  episode: Episode
  /** The alarm it belongs to; null while it waits, in planned quiet or for others of its kind. */
  alarmId: string | null
  /** Until then others may come that make one outage of it. */
  holdUntilMs: number
}

export type Quiet = Pick<InputOf<'quietPlanned'>, 'kind' | 'machineId' | 'fromMs' | 'toMs' | 'note'>

export interface ShopState {
  readonly alarms: Map<string, Alarm>
  readonly tasks: Map<string, Task>
  /** Every open episode, by id. */
  readonly episodes: Map<string, OpenEpisode>
  /** Planned quiet that is not over, by id. */
  readonly quiets: Map<string, Quiet>
  /** When the shop next closes or opens over open alarms. */
  retellMs: number | null
  nextAlarm: number
  nextTask: number
  /** Who was told of what, and whose answer is awaited. */
  readonly telling: TellingState
  /** What is remembered of each alarm beside the alarm itself, by its id. */
  readonly memories: Map<string, AlarmMemory>
  flood: Flood
  /** How far the closing list of the day is. */
  closing: ClosingState
  /** What was last published of each machine. */
  readonly published: Map<string, string>
  /** How far each routine has come on each subject, by `{routine}|{subject key}`; and the settings it followed last. */
  readonly routines: Map<string, RoutineProgress>
  routinesSeq: number
  /** Signed tasks whose proof is awaited, by id. */
  readonly proving: Map<string, Proving>
}

export interface KernelState {
  settings: Settings
  settingsSeq: number
  /** What was learned and is in force, by `learnedKey`; and what waits for a person to accept it. */
  learned: LearnedValues
  readonly waiting: Map<string, Learned>
  plan: Plan
  /** How far the monitor's clock has moved deadlines. */
  clockMs: number
  readonly subjects: Map<string, SubjectState>
  readonly sensors: Map<string, SensorState>
  readonly nodes: Map<string, NodeState>
  readonly shop: ShopState
  /** The monitor was dark, and people should hear of it for a while. */
  dark: { episode: Episode; returnMs: number; untilMs: number } | null
}

export function initialKernel(settings: Settings): KernelState {
  return {
    settings,
    settingsSeq: 0,
    learned: new Map(),
    waiting: new Map(),
    plan: planOf(settings, new Map()),
    clockMs: -Infinity,
    subjects: new Map(),
    sensors: new Map(),
    nodes: new Map(),
    dark: null,
    shop: {
      alarms: new Map(),
      tasks: new Map(),
      episodes: new Map(),
      quiets: new Map(),
      retellMs: null,
      nextAlarm: 1,
      nextTask: 1,
      telling: initialTelling(),
      memories: new Map(),
      flood: NO_FLOOD,
      closing: initialClosing(),
      published: new Map(),
      routines: new Map(),
      routinesSeq: 0,
      proving: new Map(),
    },
  }
}

/** The state as text, in a form that gives it back equal. */
export function kernelToJson(state: KernelState): string {
  const { shop } = state
  return JSON.stringify({
    settings: state.settings,
    settingsSeq: state.settingsSeq,
    learned: [...state.learned],
    waiting: [...state.waiting],
    clockMs: state.clockMs === -Infinity ? null : state.clockMs,
    subjects: [...state.subjects].map(([key, s]) => [key, subjectToJson(s)]),
    sensors: [...state.sensors],
    nodes: [...state.nodes],
    dark: state.dark,
    shop: {
      alarms: [...shop.alarms],
      tasks: [...shop.tasks],
      episodes: [...shop.episodes],
      quiets: [...shop.quiets],
      retellMs: shop.retellMs,
      nextAlarm: shop.nextAlarm,
      nextTask: shop.nextTask,
      telling: tellingToJson(shop.telling),
      memories: [...shop.memories],
      flood: shop.flood,
      closing: shop.closing,
      published: [...shop.published],
      routines: [...shop.routines],
      routinesSeq: shop.routinesSeq,
      proving: [...shop.proving],
    },
  })
}

interface KernelJson {
  settings: unknown
  settingsSeq: number
  learned: [string, Learned][]
  waiting: [string, Learned][]
  clockMs: number | null
  subjects: [string, string][]
  sensors: [string, SensorState][]
  nodes: [string, NodeState][]
  dark: KernelState['dark']
  shop: {
    alarms: [string, Alarm][]
    tasks: [string, Task][]
    episodes: [string, OpenEpisode][]
    quiets: [string, Quiet][]
    retellMs: number | null
    nextAlarm: number
    nextTask: number
    telling: TellingJson
    memories: [string, AlarmMemory][]
    flood: Flood
    closing: ClosingState
    published: [string, string][]
    routines: [string, RoutineProgress][]
    routinesSeq: number
    proving: [string, Proving][]
  }
}

export function kernelFromJson(json: string): KernelState {
  const kept = JSON.parse(json) as KernelJson
  const settings = settingsSchema.parse(kept.settings)
  const learned = new Map(kept.learned)
  const { shop } = kept
  return {
    settings,
    settingsSeq: kept.settingsSeq,
    learned,
    waiting: new Map(kept.waiting),
    plan: planOf(settings, learned),
    clockMs: kept.clockMs ?? -Infinity,
    subjects: new Map(kept.subjects.map(([key, s]) => [key, subjectFromJson(s)])),
    sensors: new Map(kept.sensors),
    nodes: new Map(kept.nodes),
    dark: kept.dark,
    shop: {
      alarms: new Map(shop.alarms),
      tasks: new Map(shop.tasks),
      episodes: new Map(shop.episodes),
      quiets: new Map(shop.quiets),
      retellMs: shop.retellMs,
      nextAlarm: shop.nextAlarm,
      nextTask: shop.nextTask,
      telling: tellingFromJson(shop.telling),
      memories: new Map(shop.memories),
      flood: shop.flood,
      closing: shop.closing,
      published: new Map(shop.published),
      routines: new Map(shop.routines),
      routinesSeq: shop.routinesSeq,
      proving: new Map(shop.proving),
    },
  }
}
