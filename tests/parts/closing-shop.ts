import { closingView } from '../../services/core/advise/closing.ts'
import type { ClosingMaterial } from '../../services/core/advise/closing-material.ts'
import { closingMaterial } from '../../services/core/kernel/shop-closing.ts'
import type { KernelState } from '../../services/core/kernel/state.ts'
import type { ClosingView } from '../../services/core/model/closing.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { createMemoryBookOfRecord } from './memory-book-of-record.ts'
import { testSettings } from './shop-settings.ts'

/** A Tuesday, 17:45 in the shop, a quarter of an hour before it closes. */
export const CLOSING_MS = Date.UTC(2026, 1, 3, 16, 45)
const ACT = { actorId: 'mira', via: 'phone' as const }

type Told = Partial<Record<'humidity' | 'temperature' | 'powered' | 'bottle', number>>
const QUANTITIES = {
  humidity: 'humidity',
  temperature: 'temperature',
  powered: 'powered',
  bottle: 'mass',
} as const
/** All well: 48 %RH, 21 °C, on, and a bottle a fifth full. */
export const WELL: Told = { humidity: 48, temperature: 21, powered: 1, bottle: 0.6 }
export const MINUTE_MS = 60_000

/** A kernel at closing time, told of by readings and acts as a monitor would. */
export function createClosingShop(settings: Settings = testSettings()) {
  const book = createMemoryBookOfRecord()
  let keeper = createKernelKeeper(book)
  let nowMs = CLOSING_MS - 30 * MINUTE_MS
  const put = (body: InputBody): void =>
    book.transaction(() => {
      keeper.take(body)
      keeper.beforeCommit(body.receivedMs)
    })
  const at = (): { atMs: number; receivedMs: number } => ({ atMs: nowMs, receivedMs: nowMs })
  const act = () => ({ ...ACT, atMs: nowMs })
  const shop = {
    put,
    at,
    act,
    state: (): KernelState => keeper.state(),
    nowMs: () => nowMs,
    /** Readings every minute for `minutes`, and the clock with them. */
    live: (told: Told, minutes = 1): void => {
      for (let i = 0; i < minutes; i++) {
        nowMs += MINUTE_MS
        const readings = (Object.keys(QUANTITIES) as (keyof typeof QUANTITIES)[]).flatMap((name) => {
          const value = told[name]
          return value === undefined
            ? []
            : [{ sensorId: `bench/${name}`, quantity: QUANTITIES[name], atMs: nowMs, value }]
        })
        put({ type: 'readings', nodeId: 'bench', readings, ...at() })
        put({ type: 'deadline', ...at() })
      }
    },
    tick: (stepId: string, machineId: string | null, done = true): void =>
      put({ type: 'closingStepTicked', ...at(), act: act(), stepId, machineId, done }),
    /** Ticks whatever may be ticked. */
    tickAll: (): void => {
      for (const group of shop.view().groups)
        for (const s of group.steps)
          if (s.state === 'open' || s.state === 'unknown') shop.tick(s.id, group.machineId)
    },
    finish: (): void => put({ type: 'closingFinished', ...at(), act: act() }),
    view: (change: Partial<ClosingMaterial> = {}): ClosingView =>
      closingView({ ...closingMaterial(keeper.state(), nowMs), ...change }),
    restart: (): void => {
      keeper = createKernelKeeper(book)
    },
    passTo: (ms: number): void => {
      nowMs = ms
      put({ type: 'deadline', ...at() })
    },
  }
  put({ type: 'settings', ...at(), act: act(), settings })
  return shop
}
