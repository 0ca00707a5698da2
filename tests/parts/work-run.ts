import { applyEpisodes } from '../../services/core/kernel/shop-stage.ts'
import {
  initialKernel,
  kernelFromJson,
  kernelToJson,
  type KernelState,
} from '../../services/core/kernel/state.ts'
import { step } from '../../services/core/kernel/step.ts'
import { initialSubject } from '../../services/core/kernel/subject-state.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Condition, Episode } from '../../services/core/model/episode.ts'
import type { Input, InputBody } from '../../services/core/model/input.ts'
import type { SubjectHistory } from '../../services/core/model/ports/records.ts'
import { routineSchema, type Routine } from '../../services/core/model/routine.ts'
import { emptySettings, settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import { subjectKey, type Subject } from '../../services/core/model/subject.ts'
import type { Task } from '../../services/core/model/task.ts'
import type { BottleFacts } from '../../services/core/track/bottle-facts.ts'
import type { MachineFacts } from '../../services/core/track/machine.ts'
import { testSettings } from './shop-settings.ts'

export const HOUR = 3_600_000
export const DAY = 24 * HOUR
/** Sunday 10 January 2027, noon UTC. */
export const T0 = Date.UTC(2027, 0, 10, 12)

/** A routine of machines, with what a test does not care about filled in. */
export function routine(given: Record<string, unknown> & { id: string }): Routine {
  return routineSchema.parse({
    title: given.id,
    forEach: 'machine',
    trigger: { kind: 'asNeeded' },
    steps: ['Look'],
    ...given,
  })
}

type Said<T> = T extends { act: unknown } ? Omit<T, 'act' | 'atMs' | 'receivedMs'> : never

const NO_HISTORY: SubjectHistory = {
  snapshotBefore: () => null,
  ordersFrom: () => [],
  readingsAfter: () => [],
  episodesTouchedAfter: () => [],
}

/** The kernel with a shop, moved by hand: its clock, what people say, alarms, and what sensors are taken to have told. */
export function createWorkRun(
  change: { routines?: Routine[] } & Record<string, unknown> = {},
  { fromMs = T0, bottleId = 'roll-waste' }: { fromMs?: number; bottleId?: string } = {},
) {
  let state = initialKernel(emptySettings())
  const tasks = new Map<string, Task>()
  const effects: Effect[] = []
  let seq = 0
  let nowMs = fromMs
  const emit = (effect: Effect): void => {
    effects.push(effect)
    if (effect.type === 'taskChanged') tasks.set(effect.task.id, structuredClone(effect.task))
  }
  const take = (body: InputBody): void => {
    const input: Input = { ...body, seq: ++seq }
    step(state, input, NO_HISTORY).effects.forEach(emit)
  }
  const act = () => ({ actorId: 'ana', via: 'screen' as const, atMs: nowMs })
  const stamp = () => ({ atMs: nowMs, receivedMs: nowMs })
  const facts = <Facts>(key: string, kind: Subject['kind']): Facts => {
    const known = state.subjects.get(key) ?? initialSubject(kind, fromMs)
    state.subjects.set(key, known)
    return known.facts as unknown as Facts
  }
  const settings = (changed: Record<string, unknown>): void => {
    const next: Settings = settingsSchema.parse({ ...testSettings(), sensors: [], ...changed })
    take({ type: 'settings', ...stamp(), act: act(), settings: next })
  }
  const episodeOf = (condition: Condition, subject: Subject): Episode => ({
    id: `${condition}|${subjectKey(subject)}|${fromMs}`,
    condition,
    subject,
    judgedUnder: subjectKey(subject),
    fromMs,
    openedMs: fromMs,
    toMs: null,
    closedMs: null,
    value: 85,
    worst: 85,
    shopClosed: false,
  })
  settings(change)
  return {
    state: (): KernelState => state,
    /** The monitor stops, and starts again from what it kept. */
    restart: (): void => {
      state = kernelFromJson(kernelToJson(state))
    },
    nowMs: () => nowMs,
    effects,
    settings,
    take,
    /** The monitor's clock says `atMs`. */
    clock: (atMs: number): void => {
      nowMs = atMs
      take({ type: 'deadline', atMs, receivedMs: atMs })
    },
    say: (said: Said<InputBody>): void => take({ ...said, ...stamp(), act: act() }),
    signOff: (taskId: string, note = ''): void =>
      take({ type: 'taskSignedOff', ...stamp(), act: act(), taskId, note }),
    alarm: (condition: Condition, subject: Subject): void =>
      applyEpisodes(state, [{ type: 'episodeOpened', episode: episodeOf(condition, subject) }], nowMs, emit),
    alarmOver: (condition: Condition, subject: Subject): void => {
      const episode = { ...episodeOf(condition, subject), toMs: nowMs, closedMs: nowMs }
      applyEpisodes(state, [{ type: 'episodeClosed', episode }], nowMs, emit)
    },
    knowMachine: ({ printedMs, cleaningsSeen }: { printedMs: number; cleaningsSeen: number }): void => {
      const known = facts<MachineFacts>('machine:roll', 'machine')
      known.printedMs = printedMs
      known.power.cleaningsSeen = cleaningsSeen
    },
    machine: (): MachineFacts => facts('machine:roll', 'machine'),
    bottle: (): BottleFacts => facts(`bottle:${bottleId}`, 'bottle'),
    /** The scale speaks, and saw the bottle emptied. */
    knowBottle: ({ emptiedMs, massKg = 0.2 }: { emptiedMs: number | null; massKg?: number }): void => {
      const known = facts<BottleFacts>(`bottle:${bottleId}`, 'bottle')
      Object.assign(known, { heardMs: nowMs, standing: 'onTheScale', massKg, atMs: nowMs })
      if (emptiedMs === null) return
      known.lastEmptying = {
        kind: 'emptied',
        fromMs: emptiedMs - 60_000,
        toMs: emptiedMs,
        removedG: 1400,
        remainedG: 5,
      }
    },
    tasks: (): readonly Task[] => [...tasks.values()],
    tasksOf: (routineId: string): readonly Task[] =>
      [...tasks.values()].filter((t) => t.routineId === routineId),
    openId: (routineId: string): string =>
      [...tasks.values()].find((t) => t.routineId === routineId && t.state === 'open')?.id ?? '',
  }
}
