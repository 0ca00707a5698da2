import { Temporal } from 'temporal-polyfill'
import type { CausesQuestion, CausesStatus, CausesView } from '../core/model/causes-view.ts'
import type { Causes } from '../core/model/ports/causes.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { NightStore } from '../core/model/ports/night-store.ts'
import type { TableCell } from '../core/study/nights-table.ts'
import type { CausesJob, CausesWord, MonthToFreeze } from './causes-work.ts'
import type { Engine } from './engine.ts'
import type { Log } from './log.ts'
import { shareNext } from './share-next.ts'
import type { WorkThread } from './work-thread.ts'

/** As in learning: the night that has just passed is known by then. */
const AT_HOUR = 12
const MOST_PAGES = 8
const DAY_MS = 86_400_000

export interface CausesDeskParts {
  readonly store: Pick<NightStore, 'renew' | 'renewedMs' | 'revision' | 'logRevision' | 'freeze' | 'frozen'>
  readonly engine: Pick<Engine, 'state'>
  readonly clock: Pick<Clock, 'nowMs'>
  readonly log: Pick<Log, 'info' | 'error'>
  /** Starts the work in a thread of its own. */
  readonly run: (job: CausesJob, hear: (word: CausesWord) => void) => WorkThread
}

export interface CausesDesk extends Causes {
  /** Called again and again: once a day, from noon of the shop on, nights are renewed, and once a month verdicts frozen. */
  readonly round: () => Promise<void>
  readonly stop: () => Promise<void>
}

interface KeptPage {
  readonly page: CausesView
  readonly version: string
}

interface PageWork {
  readonly key: string
  readonly thread: WorkThread
  share: number
  doing: string
}

/**
 * What Causes has under way, and what it found.
 *
 * DESK-1 one page at a time is worked out; the same question joins it, another takes its place.
 * DESK-2 a page is current until a night, a check, a head change or a limit changed, or another noon has passed.
 * DESK-3 what the work found of nights is written here, by the one writer, before the page is given.
 * DESK-4 a failure is told once, to whoever asks, and does not harm what was kept.
 * DESK-5 nights are renewed once a day, from noon of the shop on; the first run after a month's end freezes its verdicts.
 * DESK-6 one table of nights at a time is worked out; all who ask while it is share the next (`shareNext`).
 */
export function createCausesDesk(parts: CausesDeskParts): CausesDesk {
  const { store, engine, clock, log, run } = parts
  const dayOf = (atMs: number): string => learningDay(atMs, engine.state().settings.site.timeZone)
  const startedMs = clock.nowMs()
  const pages = new Map<string, KeptPage>()
  const problems = new Map<string, string>()
  const others = new Set<WorkThread>()
  let work: PageWork | null = null
  let isStopped = false

  const versionAt = (logRevision: number): string => {
    const { settings } = engine.state()
    const rests = [store.revision(), logRevision, dayOf(clock.nowMs())]
    return JSON.stringify([
      ...rests,
      settings.limits,
      settings.machines,
      settings.hours,
      settings.site.timeZone,
    ])
  }
  const write = (word: CausesWord): void => {
    if (word.type === 'renewed') {
      store.renew(word.renewal)
      if (word.renewal.nights.length > 0)
        log.info({ nights: word.renewal.nights.length }, 'nights were worked out')
    }
    if (word.type === 'verdicts' && store.freeze(word.verdicts)) {
      log.info({ verdicts: word.verdicts.length }, 'verdicts of the month were frozen')
    }
  }
  const aside = async (job: CausesJob, hear: (word: CausesWord) => void): Promise<void> => {
    const thread = run(job, hear)
    others.add(thread)
    try {
      await thread.done
    } finally {
      others.delete(thread)
    }
  }
  const keep = (key: string, page: CausesView, version: string): void => {
    pages.delete(key)
    pages.set(key, { page, version })
    const oldest = pages.keys().next()
    if (pages.size > MOST_PAGES && !oldest.done) pages.delete(oldest.value)
  }
  const start = (question: CausesQuestion): void => {
    const key = JSON.stringify(question)
    if (work?.key === key) return
    void work?.thread.stop()
    problems.delete(key)
    // What is logged after this may or may not be in the page: it then counts as changed since.
    const logRevision = store.logRevision()
    let version = versionAt(logRevision)
    const thread = run({ kind: 'page', nowMs: clock.nowMs(), question }, (word) => {
      if (word.type === 'progress') Object.assign(own, { share: word.share, doing: word.doing })
      else if (word.type === 'page') keep(key, word.page, version)
      else write(word)
      // The nights that this very page renewed are in it.
      if (word.type === 'renewed') version = versionAt(logRevision)
    })
    const own: PageWork = { key, thread, share: 0, doing: 'Looking through the nights' }
    work = own
    const settle = (): void => {
      if (work === own) work = null
    }
    thread.done.then(settle, (error: unknown) => {
      settle()
      const reason = error instanceof Error ? error.message : String(error)
      log.error({ reason }, 'Causes could not be worked out')
      problems.set(
        key,
        `It could not be worked out (${reason}). Try again; if that does not help, see the log.`,
      )
    })
  }

  const table = async (): Promise<readonly (readonly TableCell[])[]> => {
    let rows: readonly (readonly TableCell[])[] | null = null
    const hear = (word: CausesWord): void => {
      if (word.type === 'table') rows = word.rows
      else write(word)
    }
    if (!isStopped) await aside({ kind: 'table', nowMs: clock.nowMs() }, hear)
    if (isStopped) throw new Error('the monitor is being stopped: ask again when it is back')
    return rows ?? []
  }

  return {
    status: (question): CausesStatus => {
      const key = JSON.stringify(question)
      const kept = pages.get(key)
      return {
        page: kept?.page ?? null,
        isCurrent: kept !== undefined && kept.version === versionAt(store.logRevision()),
        work: work?.key === key ? { share: work.share, doing: work.doing } : null,
        problem: problems.get(key) ?? null,
      }
    },
    start,
    drop: async () => {
      const { thread } = work ?? {}
      work = null
      await thread?.stop()
    },
    table: shareNext(table),
    round: async () => {
      const nowMs = clock.nowMs()
      // A shop that has just begun has no night to look through yet.
      if (dayOf(nowMs) === dayOf(store.renewedMs() ?? startedMs)) return
      const month = monthBefore(nowMs, engine.state().settings.site.timeZone)
      const isFrozen = store.frozen().some((v) => v.month === month.month)
      await aside({ kind: 'daily', nowMs, freeze: isFrozen ? null : month }, write)
    },
    stop: async () => {
      isStopped = true
      await Promise.all([work?.thread.stop(), ...[...others].map((thread) => thread.stop())])
    },
  }
}

/** The day that began at the last noon. */
function learningDay(nowMs: number, timeZone: string): string {
  return localTime(nowMs, timeZone).subtract({ hours: AT_HOUR }).toPlainDate().toString()
}

/** The month that ended last, on the shop's calendar. */
function monthBefore(nowMs: number, timeZone: string): MonthToFreeze {
  const first = localTime(nowMs, timeZone).toPlainDate().with({ day: 1 })
  return {
    month: first.subtract({ months: 1 }).toPlainYearMonth().toString(),
    fromDay: Date.parse(`${first.toString()}T00:00:00Z`) / DAY_MS,
  }
}

function localTime(nowMs: number, timeZone: string): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(nowMs).toZonedDateTimeISO(timeZone)
}
