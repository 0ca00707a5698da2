import { Temporal } from 'temporal-polyfill'
import type { Clock } from '../core/model/ports/clock.ts'
import type { NightStore } from '../core/model/ports/night-store.ts'
import type { CausesJob, CausesWord } from './causes-work.ts'
import type { Engine } from './engine.ts'
import type { Log } from './log.ts'
import type { RunningWorker } from './run-worker.ts'

/** As in learning: the night that has just passed is known by then. */
const AT_HOUR = 12

export interface CausesDeskParts {
  readonly store: Pick<NightStore, 'renew' | 'renewedMs'>
  readonly engine: Pick<Engine, 'state'>
  readonly clock: Clock
  readonly log: Pick<Log, 'info'>
  /** Starts the work in a thread of its own. */
  readonly run: (job: CausesJob, hear: (word: CausesWord) => void) => RunningWorker
}

export interface CausesDesk {
  /** Called again and again: once a day, from noon of the shop on, nights are renewed. */
  readonly round: () => Promise<void>
  readonly stop: () => Promise<void>
}

/** What Causes has under way. */
export function createCausesDesk({ store, engine, clock, log, run }: CausesDeskParts): CausesDesk {
  const dayOf = (atMs: number): string => learningDay(atMs, engine.state().settings.site.timeZone)
  const startedMs = clock.nowMs()
  let daily: RunningWorker | null = null
  const hear = (word: CausesWord): void => {
    if (word.type !== 'renewed') return
    const { renewal } = word
    store.renew(renewal)
    if (renewal.nights.length > 0) log.info({ nights: renewal.nights.length }, 'nights were worked out')
  }
  return {
    round: async () => {
      const nowMs = clock.nowMs()
      // A shop that has just begun has no night to look through yet.
      if (dayOf(nowMs) === dayOf(store.renewedMs() ?? startedMs)) return
      daily = run({ kind: 'daily', nowMs }, hear)
      await daily.done
    },
    stop: async () => daily?.stop(),
  }
}

/** The day that began at the last noon. */
function learningDay(nowMs: number, timeZone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(nowMs)
    .toZonedDateTimeISO(timeZone)
    .subtract({ hours: AT_HOUR })
    .toPlainDate()
    .toString()
}
