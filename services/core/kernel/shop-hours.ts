import { isInQuiet } from '../alarms/life-cycle.ts'
import { closingDoneSince } from './shop-closing.ts'
import { closingWords, morningWords } from '../alarms/telling/report-words.ts'
import type { NightAlarm } from '../alarms/telling/telling-state.ts'
import { troubleText } from '../alarms/telling/trouble-text.ts'
import { hasWay } from '../alarms/telling/who-is-asked.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Contact } from '../model/contact.ts'
import type { Notice } from '../model/notice.ts'
import { fromMsOf, isOver, queue, telling, type TellingRun } from './telling-run.ts'

const HOUR_MS = 3_600_000
/** A shop that closes for less than this has a break, not a night. Starting value. */
const SHORTEST_NIGHT_MS = 4 * HOUR_MS
/** A reminder of the closing list that comes later than this after its time is of no use. Starting value. */
const REMINDER_USEFUL_MS = 2 * HOUR_MS
/** A closing list gone through this long before closing is of that day. Used before an opening was met. */
const LONGEST_DAY_MS = 16 * HOUR_MS
const REPORT_MS = 12 * HOUR_MS
/** More than anybody reads; the record has them all. */
const MOST_KEPT = 200

/** Keeps what happens in closed hours for the morning report. */
export function noteNight(run: TellingRun, changed: readonly Alarm[]): void {
  const { night } = telling(run)
  const { settings, plan } = run.state
  for (const alarm of changed) {
    const known = night.get(alarm.id)
    if (known) {
      known.overMs = isOver(alarm) ? alarm.returnedMs : null
      known.withdrawn = alarm.revision === 'withdrawn'
      if (!isOver(alarm)) known.title = troubleText(alarm, settings)
    } else if (!isOver(alarm) && !isInQuiet(alarm) && !run.world.shopOpen && night.size < MOST_KEPT) {
      const ofTheDay = plan.calendar.isOpenAt(alarm.openedMs) && alarm.urgency !== 'now'
      if (!ofTheDay) night.set(alarm.id, nightAlarm(run, alarm))
    }
  }
}

function nightAlarm(run: TellingRun, alarm: Alarm): NightAlarm {
  return {
    alarmId: alarm.id,
    title: troubleText(alarm, run.state.settings),
    fromMs: fromMsOf(run, alarm),
    overMs: null,
    told: false,
    withdrawn: false,
  }
}

/**
 * What is told by the hours of the shop.
 *
 * HOURS-1 at opening after a night, a morning report to those who want it, if anything happened or a task waits. What
 *         planned quiet explains is no news.
 * HOURS-2 `closingReminderAfterMs` after closing for the night, a reminder to those who want it, if nobody has gone
 *         through the closing list since the shop opened.
 * HOURS-3 a closing of under four hours is a break: neither is told of it.
 * HOURS-4 a shop without hours has no morning: its board tells all.
 */
export function followHours(run: TellingRun): void {
  const slice = telling(run)
  const { calendar } = run.state.plan
  slice.changeMs ??= calendar.nextChangeAfter(run.nowMs)
  while (slice.changeMs !== null && slice.changeMs <= run.nowMs) {
    const atMs = slice.changeMs
    slice.changeMs = calendar.nextChangeAfter(atMs)
    if (calendar.isOpenAt(atMs)) opened(run, atMs)
    else closed(run, atMs)
  }
  const { closingReminderMs, closedMs } = slice
  if (closingReminderMs === null || closedMs === null || run.nowMs < closingReminderMs) return
  slice.closingReminderMs = null
  if (run.nowMs - closingReminderMs <= REMINDER_USEFUL_MS) remindOfClosing(run, closedMs)
}

function opened(run: TellingRun, atMs: number): void {
  const slice = telling(run)
  const { calendar } = run.state.plan
  slice.closingReminderMs = null
  const quietSinceMs = atMs - SHORTEST_NIGHT_MS
  const afterNight =
    !calendar.isOpenAt(quietSinceMs) && (calendar.nextChangeAfter(quietSinceMs) ?? atMs) >= atMs
  if (!afterNight) return
  slice.openedMs = atMs
  // The monitor was away for longer than a day: only the last opening is told of.
  if (slice.changeMs !== null && slice.changeMs <= run.nowMs) return
  const words = morningWords({
    night: [...slice.night.values()],
    // What a routine alone asks for waits in its list, and is no news of the night.
    waitingTasks: [...run.state.shop.tasks.values()].filter((t) => t.alarmId !== null).length,
    settings: run.state.settings,
    nowMs: run.nowMs,
  })
  slice.night.clear()
  const wanting = run.world.contacts.filter((c) => c.morningReport)
  if (words) toEach(run, wanting, { ...words, kind: 'morningReport', page: '/morning', atMs })
}

function closed(run: TellingRun, atMs: number): void {
  const { plan, settings } = run.state
  const opensMs = plan.calendar.nextOpeningAfter(atMs) ?? Infinity
  if (opensMs - atMs < SHORTEST_NIGHT_MS) return
  const slice = telling(run)
  slice.closedMs = atMs
  slice.closingReminderMs = atMs + settings.telling.closingReminderAfterMs
}

function remindOfClosing(run: TellingRun, closedMs: number): void {
  const { state, nowMs } = run
  const sinceMs = Math.max(telling(run).openedMs ?? 0, closedMs - LONGEST_DAY_MS)
  if (state.settings.machines.length === 0 || closingDoneSince(state, sinceMs)) return
  const words = closingWords(state.settings, { closedMs, nowMs })
  const wanting = run.world.contacts.filter((c) => c.closingReminder)
  toEach(run, wanting, { ...words, kind: 'closingReminder', page: '/closing', atMs: closedMs })
}

interface ToEach extends Pick<Notice, 'kind' | 'title' | 'body' | 'page'> {
  readonly atMs: number
}

function toEach(run: TellingRun, contacts: readonly Contact[], { atMs, ...notice }: ToEach): void {
  for (const { id } of contacts.filter(hasWay)) {
    queue(run, {
      key: `${notice.kind}|${atMs}|${id}`,
      contactId: id,
      alarmId: null,
      urgency: 'normal',
      topic: notice.kind,
      asksForReply: false,
      expiresMs: run.nowMs + REPORT_MS,
      ...notice,
    })
  }
}

/** When the hours of the shop next ask for a word, or Infinity. */
export function hoursDueMs(run: TellingRun): number {
  const { changeMs, closingReminderMs } = telling(run)
  return Math.min(changeMs ?? Infinity, closingReminderMs ?? Infinity)
}
