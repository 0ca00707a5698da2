import { applyEpisodes, fireShop, shopDeadlineMs } from '../../services/core/kernel/shop-stage.ts'
import { acknowledge } from '../../services/core/kernel/shop-acts.ts'
import { shelve, unshelve } from '../../services/core/kernel/shelf.ts'
import { endQuiet, planQuiet } from '../../services/core/kernel/quiet.ts'
import { initialKernel, kernelFromJson, kernelToJson } from '../../services/core/kernel/state.ts'
import type { AlarmState } from '../../services/core/model/alarm.ts'
import type { QuietKind } from '../../services/core/model/act.ts'
import type { Condition, Episode } from '../../services/core/model/episode.ts'
import { testSettings } from './shop-settings.ts'

export const LIFE_START_MS = Date.parse('2026-11-25T21:00:00Z')
const MIN = 60_000

/** Two troubles of one root, and the planned quiet that covers both. */
export interface LifeWorld {
  readonly quiet: QuietKind
  readonly first: Condition
  readonly second: Condition
  /** The second is told at once, whatever the hour. */
  readonly secondIsUrgent: boolean
}

export const WORLDS: readonly LifeWorld[] = [
  { quiet: 'outOfService', first: 'leftOff', second: 'offItsCap', secondIsUrgent: true },
  { quiet: 'powerWork', first: 'leftOff', second: 'powerFlickering', secondIsUrgent: false },
]

export type Which = 'first' | 'second'

export interface LifeActs {
  readonly arise: (k: Which) => void
  readonly end: (k: Which) => void
  /** The last episode of this trouble, open or closed, never was. */
  readonly withdraw: (k: Which) => void
  readonly acknowledge: () => void
  readonly shelve: (minutes: number) => void
  readonly unshelve: () => void
  readonly planQuiet: () => void
  readonly endQuiet: () => void
  readonly wait: (minutes: number) => void
  /** All that people can see of the alarms, in the order in which they were raised. */
  readonly shown: () => readonly ShownAlarm[]
}

export interface ShownAlarm {
  readonly id: string
  readonly state: AlarmState
  readonly overMs: number | null
  readonly activations: number
  readonly hasTask: boolean
}

export interface LifeShop extends LifeActs {
  /** What must hold of any shop at any time. */
  readonly lawsBroken: () => readonly string[]
}

/** The real shop stage of a shop with one machine that is always closed. */
export function createLifeShop(world: LifeWorld): LifeShop {
  let state = initialKernel(testSettings({ hours: { weekly: [], holidays: [] } }))
  state.clockMs = LIFE_START_MS
  let nowMs = LIFE_START_MS
  let seq = 0
  const last = new Map<Which, Episode>()
  const emit = (): void => undefined
  const act = () => ({ actorId: 'ana', via: 'screen' as const, atMs: nowMs })
  const stamp = () => ({ seq: ++seq, atMs: nowMs, receivedMs: nowMs, act: act() })
  const fire = (): void =>
    fireShop(state, { type: 'deadline', seq: ++seq, atMs: nowMs, receivedMs: nowMs }, emit)
  const tell = (effect: Parameters<typeof applyEpisodes>[1][number]): void => {
    applyEpisodes(state, [effect], nowMs, emit)
    fire()
  }
  const first = (...states: AlarmState[]) =>
    [...state.shop.alarms.values()].find((a) => states.includes(a.state))

  return {
    arise: (k) => {
      if (last.get(k)?.closedMs === null) return
      const episode = episodeOf(world[k], { nowMs, n: ++seq })
      last.set(k, episode)
      tell({ type: 'episodeOpened', episode })
    },
    end: (k) => {
      const open = last.get(k)
      if (open?.closedMs !== null) return
      const episode = { ...open, toMs: nowMs, closedMs: nowMs }
      last.set(k, episode)
      tell({ type: 'episodeClosed', episode })
    },
    withdraw: (k) => {
      const episode = last.get(k)
      last.delete(k)
      if (episode) tell({ type: 'episodeWithdrawn', episodeId: episode.id, atMs: nowMs })
    },
    acknowledge: () => {
      const alarm = first('unacknowledged', 'returnedUnacknowledged')
      if (alarm) acknowledge(state, alarm.id, act(), emit)
    },
    shelve: (minutes) => {
      const alarm = first('unacknowledged', 'acknowledged', 'returnedUnacknowledged')
      const untilMs = nowMs + minutes * MIN
      if (alarm)
        shelve(state, { type: 'alarmShelved', ...stamp(), alarmId: alarm.id, untilMs, reason: 'x' }, emit)
    },
    unshelve: () => {
      const alarm = first('shelved')
      if (alarm) unshelve(state, alarm.id, { nowMs, emit })
    },
    planQuiet: () => {
      const plan = { kind: world.quiet, machineId: 'roll', fromMs: nowMs, toMs: null, note: '' }
      planQuiet(state, { type: 'quietPlanned', ...stamp(), quietId: 'q', ...plan })
      fire()
    },
    endQuiet: () => {
      endQuiet(state, { type: 'quietEnded', ...stamp(), quietId: 'q' })
      fire()
    },
    wait: (minutes) => {
      const toMs = nowMs + minutes * MIN
      for (let at = shopDeadlineMs(state); at <= toMs; at = shopDeadlineMs(state)) {
        nowMs = state.clockMs = at
        fire()
      }
      nowMs = state.clockMs = toMs
      // A restart in between changes nothing.
      state = kernelFromJson(kernelToJson(state))
      fire()
    },
    shown: () =>
      [...state.shop.alarms.values()].map(({ id, state: s, returnedMs, activations }) => ({
        id,
        state: s,
        overMs: returnedMs,
        activations,
        hasTask: [...state.shop.tasks.values()].some((t) => t.alarmId === id),
      })),
    lawsBroken: () => {
      const alarms = [...state.shop.alarms.values()]
      const told = alarms.filter((a) => a.state !== 'normal' && a.quiet === null)
      const laws: [string, boolean][] = [
        ['one root, one alarm before people', told.length <= 1],
        [
          'a reason stands with what is shelved, and nowhere else',
          alarms.every((a) => (a.shelved !== null) === (a.state === 'shelved')),
        ],
        [
          'who took it on stands with what is acknowledged',
          alarms.every((a) => a.state !== 'acknowledged' || a.acknowledged !== null),
        ],
        [
          'nobody is on what asks for somebody',
          alarms.every((a) => a.state !== 'unacknowledged' || a.acknowledged === null),
        ],
        [
          'every open episode has an alarm',
          [...state.shop.episodes.values()].every((e) => e.alarmId !== null),
        ],
        ['no deadline lies in the past', shopDeadlineMs(state) > nowMs],
      ]
      return laws.flatMap(([law, holds]) => (holds ? [] : [law]))
    },
  }
}

function episodeOf(condition: Condition, { nowMs, n }: { nowMs: number; n: number }): Episode {
  return {
    id: `${condition}|machine:roll|${n}`,
    condition,
    subject: { kind: 'machine', id: 'roll' },
    judgedUnder: 'machine:roll',
    fromMs: nowMs,
    openedMs: nowMs,
    toMs: null,
    closedMs: null,
    value: 0,
    worst: 0,
    shopClosed: true,
  }
}
