import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { Settings } from '../../../services/core/model/settings.ts'
import type { BoardView } from '../../../services/core/model/views.ts'
import { failureSentence } from '../api/answer.ts'
import type { ShopApi } from '../api/shop-api.ts'
import { atTime, withLatest, type LiveBindings, type LiveReading } from '../strip/live-tail.ts'
import type { MachineAct } from '../words/act-words.ts'
import type { Clock } from './clock.ts'
import { sayTo, type SayingApi } from './machine-saying.ts'

export interface BoardModel {
  /** The board as it stands now; null until it came for the first time. */
  readonly board: ReadonlySignal<BoardView | null>
  /** When what is shown was heard, by the shop's clock, while it is a kept state and not one of now; else null. */
  readonly keptMs: ReadonlySignal<number | null>
  readonly trouble: ReadonlySignal<string>
  /** Gives the newest event that the board knows of, for following what comes after; null where that is not known. */
  readonly load: () => Promise<string | null>
  /** Takes over new readings where it knows what their sensors belong to; false when it does not. */
  readonly take: (readings: readonly LiveReading[]) => boolean
  readonly bind: (settings: Settings) => void
  readonly acknowledge: (alarmId: string) => Promise<boolean>
  /** Takes down what a person says about a machine. Gives what went wrong as a sentence; empty when nothing did. */
  readonly say: (machineId: string, act: MachineAct) => Promise<string>
  readonly forget: () => void
}

type BoardApi = Pick<ShopApi, 'board' | 'acknowledge'> & SayingApi

export function createBoardModel(api: BoardApi, clock: Clock): BoardModel {
  const received = signal<BoardView | null>(null)
  const keptMs = signal<number | null>(null)
  const trouble = signal('')
  let bindings: LiveBindings | null = null
  let asked = 0

  const load = async (): Promise<string | null> => {
    const turn = ++asked
    const answer = await api.board()
    // An older answer that comes in after a newer one must not turn the board back.
    if (turn !== asked) return null
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (!answer.ok) return null
    clock.set(answer.value.nowMs, answer.heardMs)
    keptMs.value = answer.heardMs === undefined ? null : answer.value.nowMs
    received.value = answer.value
    return answer.lastEventId ?? null
  }
  return {
    keptMs,
    trouble,
    board: computed(() => received.value && atTime(received.value, clock.quarterMinuteMs.value)),
    load,
    take: (readings) => {
      if (!received.value || !bindings || readings.length === 0) return false
      const newestMs = Math.max(...readings.map((r) => r.atMs))
      received.value = withLatest(atTime(received.value, newestMs), readings, bindings)
      return true
    },
    bind: ({ sensors, machines }) => {
      bindings = { sensors, roomOfMachine: new Map(machines.map((m) => [m.id, m.room])) }
    },
    acknowledge: async (alarmId) => {
      const answer = await api.acknowledge(alarmId)
      trouble.value = answer.ok ? '' : failureSentence(answer.failure)
      if (answer.ok) await load()
      return answer.ok
    },
    say: async (machineId, act) => {
      const answer = await sayTo(api, { machineId, act, nowMs: Math.floor(clock.nowMs.peek()) })
      if (answer.ok) await load()
      return answer.ok ? '' : failureSentence(answer.failure)
    },
    forget: () => {
      asked++
      received.value = keptMs.value = null
      bindings = null
      trouble.value = ''
    },
  }
}
