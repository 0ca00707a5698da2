import { computed, signal, type ReadonlySignal } from '@preact/signals'

/** The shop's clock: the monitor's own, carried on by this device between two answers. */
export interface Clock {
  readonly nowMs: ReadonlySignal<number>
  /** The same in steps of 15 s: what is drawn moves no oftener. */
  readonly quarterMinuteMs: ReadonlySignal<number>
  /** The same moment by this device's own clock. */
  readonly deviceMs: (shopMs: number) => number
  /** The monitor said what time it is, at `heardMs` by this device's clock. */
  readonly set: (serverMs: number, heardMs?: number) => void
  /** A second went by. */
  readonly tick: () => void
}

const STEP_MS = 15_000

export function createClock(deviceMs: () => number): Clock {
  let aheadMs = 0
  const nowMs = signal(deviceMs())
  const tick = (): void => {
    nowMs.value = deviceMs() + aheadMs
  }
  return {
    nowMs,
    quarterMinuteMs: computed(() => Math.floor(nowMs.value / STEP_MS) * STEP_MS),
    deviceMs: (shopMs) => shopMs - aheadMs,
    set: (serverMs, heardMs = deviceMs()) => {
      aheadMs = serverMs - heardMs
      tick()
    },
    tick,
  }
}
