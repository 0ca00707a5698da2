import { bottleFull } from '../../services/core/detect/bottle-full.ts'
import { bottleLosingWeight } from '../../services/core/detect/bottle-losing-weight.ts'
import { bottleMissing } from '../../services/core/detect/bottle-missing.ts'
import { bottleNear } from '../../services/core/detect/bottle-near.ts'
import { wasteNotArriving } from '../../services/core/detect/waste-not-arriving.ts'
import { bottleWillFill } from '../../services/core/forecast/bottle-will-fill.ts'
import type { Order } from '../../services/core/model/input.ts'
import type { Learned } from '../../services/core/model/learned.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { BottleFacts } from '../../services/core/track/bottle-facts.ts'
import { bottleTracker, noteCleaning } from '../../services/core/track/bottle.ts'
import { MONDAY_MS, readingsOf, type Signal } from './bottle-signal.ts'
import { testSettings } from './shop-settings.ts'
import { createSubjectRun, subjectContext, type Found, type SubjectRun } from './subject-run.ts'

/** The invented shop's bottle: 2000 mL, tare 0.2 kg, density 1; so 2 kg is 90 % full. */
export const BOTTLE = { kind: 'bottle', id: 'roll-waste' } as const

export const BOTTLE_DETECTORS = [
  bottleNear,
  bottleFull,
  bottleMissing,
  bottleLosingWeight,
  wasteNotArriving,
  bottleWillFill,
] as const

export function bottleSettings(everyMs: number, change: Record<string, unknown> = {}): Settings {
  const settings = testSettings(change)
  return { ...settings, sensors: settings.sensors.map((s) => ({ ...s, intervalMs: everyMs })) }
}

export interface BottleStory {
  readonly signal: Signal
  readonly forMs: number
  readonly everyMs: number
  readonly fromMs?: number
  readonly learned?: readonly Learned[]
  /** When the machine was seen to end a cleaning, since the beginning; said when it comes to that. */
  readonly cleanings?: readonly number[]
  readonly settings?: Settings
  readonly restart?: boolean
  /** Nothing is read in [from, to). */
  readonly silent?: readonly [number, number]
}

/** Lets a bottle live through a signal. */
export function liveBottle(story: BottleStory): SubjectRun<BottleFacts> {
  const { signal, forMs, everyMs, fromMs = MONDAY_MS, learned = [], restart = false } = story
  const context = subjectContext(BOTTLE, story.settings ?? bottleSettings(everyMs), learned)
  const run = createSubjectRun({ tracker: bottleTracker, detectors: BOTTLE_DETECTORS, context, restart })
  const waiting = [...(story.cleanings ?? [])].sort((a, b) => a - b)
  for (const reading of readingsOf(signal, { fromMs, forMs, everyMs })) {
    const since = reading.atMs - fromMs
    for (let next = waiting[0]; next !== undefined && next <= since; next = waiting[0]) {
      waiting.shift()
      const atMs = fromMs + next
      run.change(atMs, (facts, c) => noteCleaning(facts, { atMs, machineId: 'roll', owes: true }, c))
    }
    if (story.silent && since >= story.silent[0] && since < story.silent[1]) continue
    run.read(reading)
  }
  return run
}

/** The findings of one condition, with times since the beginning in minutes. */
export function told(found: readonly Found[], condition: Found['condition'], fromMs = MONDAY_MS): string[] {
  const minutes = (atMs: number): string => String(Math.round(((atMs - fromMs) / 60_000) * 100) / 100)
  return found
    .filter((f) => f.condition === condition)
    .map((f) =>
      f.type === 'opened'
        ? `opened ${minutes(f.fromMs)} sure ${minutes(f.openedMs)}`
        : `closed ${minutes(f.toMs)} sure ${minutes(f.closedMs)}`,
    )
}

/** New settings, said by the owner at `atMs`. */
export function settingsSaid(atMs: number, settings: Settings): Order {
  const act = { actorId: 'owner', via: 'screen', atMs } as const
  return { type: 'settings', seq: 1, atMs, receivedMs: atMs, act, settings }
}
