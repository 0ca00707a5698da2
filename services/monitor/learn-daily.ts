import { Temporal } from 'temporal-polyfill'
import { learnNightly } from '../core/learn/nightly.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { Engine } from './engine.ts'
import type { Log } from './log.ts'

const HOUR_MS = 3_600_000
/** So the night that has just passed is among what is known before the next one. */
const AT_HOUR = 12

export interface LearnDailyParts {
  readonly engine: Pick<Engine, 'state' | 'submit'>
  readonly reader: Pick<RecordsReader, 'series'>
  readonly clock: Clock
  readonly log: Pick<Log, 'info'>
}

/**
 * Works out once a day, at noon of the shop, what its past teaches, and puts it on the log. A shop of which nothing was
 * learned yet does not wait for noon.
 */
export async function learnDaily({ engine, reader, clock, log }: LearnDailyParts): Promise<void> {
  const nowMs = clock.nowMs()
  const { settings, plan, learned } = engine.state()
  if (
    !isDue(
      [...learned.values()].map((l) => l.toMs),
      nowMs,
      settings.site.timeZone,
    )
  )
    return
  const lessons = learnNightly({
    settings,
    calendar: plan.calendar,
    inForce: learned,
    series: reader.series,
    nowMs,
  })
  for (const { learned: value, waiting } of lessons) {
    await engine.submit({ type: 'learned', learned: { ...value, toMs: nowMs }, waiting, act: null })
  }
  if (lessons.length > 0) log.info({ lessons: lessons.length }, 'learned from the past')
}

function isDue(learnedToMs: readonly number[], nowMs: number, timeZone: string): boolean {
  const lastMs = Math.max(-Infinity, ...learnedToMs)
  if (lastMs === -Infinity) return true
  if (nowMs - lastMs < 6 * HOUR_MS) return false
  const { hour } = Temporal.Instant.fromEpochMilliseconds(nowMs).toZonedDateTimeISO(timeZone)
  return hour >= AT_HOUR
    ? nowMs - lastMs > (hour - AT_HOUR) * HOUR_MS + HOUR_MS
    : nowMs - lastMs > 26 * HOUR_MS
}
