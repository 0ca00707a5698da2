import { clockText } from '../../model/clock-text.ts'
import type { Settings } from '../../model/settings.ts'
import type { NoticeWords } from './notice-words.ts'
import type { NightAlarm } from './telling-state.ts'

export interface ReportMaterial {
  readonly night: readonly NightAlarm[]
  readonly waitingTasks: number
  readonly settings: Settings
  readonly nowMs: number
}

const SHOWN = 5

/**
 * The morning report in a few sentences; the page tells the rest. Null where there is nothing to tell.
 *
 * REPORT-1 what somebody was called for stands first, then what is on record, then the tasks that wait.
 * REPORT-2 a calm night with nothing to do says nothing.
 */
export function morningWords({ night, waitingTasks, settings, nowMs }: ReportMaterial): NoticeWords | null {
  const happened = night.filter((a) => !a.withdrawn)
  const called = happened.filter((a) => a.told)
  const rest = happened.filter((a) => !a.told)
  const withdrawn = night.length - happened.length
  if (night.length === 0 && waitingTasks === 0) return null
  const parts = [
    ...(called.length > 0 ? [`called for ${count(called.length, 'thing', 'things')}`] : []),
    ...(rest.length > 0 ? [`${rest.length} on record`] : []),
    ...(waitingTasks > 0 ? [`${count(waitingTasks, 'task waits', 'tasks wait')}`] : []),
  ]
  const list = (alarms: readonly NightAlarm[]): string =>
    alarms
      .slice(0, SHOWN)
      .map((a) => `${a.title} (${spanText(a, settings, nowMs)})`)
      .join('; ') + (alarms.length > SHOWN ? `; and ${alarms.length - SHOWN} more` : '')
  return {
    title: `Good morning: ${parts.length > 0 ? parts.join(', ') : 'nothing that held'}`,
    body: [
      ...(called.length > 0 ? [`Somebody was called for: ${list(called)}.`] : ['Nobody was called.']),
      ...(rest.length > 0 ? [`On record: ${list(rest)}.`] : []),
      ...(withdrawn > 0 ? [`Taken back, since it turned out otherwise: ${withdrawn}.`] : []),
      'Check the nozzles before the first print. The morning report tells the rest.',
    ].join('\n'),
  }
}

function spanText({ fromMs, overMs }: NightAlarm, { site: { timeZone } }: Settings, nowMs: number): string {
  const from = clockText(fromMs, { timeZone, nowMs })
  return overMs === null ? `since ${from}, not over` : `${from} to ${clockText(overMs, { timeZone, nowMs })}`
}

export function closingWords(
  { site, machines }: Settings,
  { closedMs, nowMs }: { closedMs: number; nowMs: number },
): NoticeWords {
  const at = clockText(closedMs, { timeZone: site.timeZone, nowMs })
  const caps = machines.length === 1 ? 'Is the head on its cap?' : 'Are all heads on their caps?'
  return {
    title: 'The closing list was not gone through',
    body: [
      `${site.title} closed at ${at}, and nobody has gone through the closing list today.`,
      `${caps} Can the bottles take the night? The list asks it point by point, and says what is not ready.`,
    ].join('\n'),
  }
}

export function testWords({ site }: Settings): NoticeWords {
  return {
    title: `A test from ${site.title}`,
    body: [
      'Nothing is wrong. This is how you are told at night.',
      'Answer that it arrived, from mobile data and not from the network of the shop: only then is it known that your answer finds its way home, and somebody else can be asked when you do not answer.',
    ].join('\n'),
  }
}

function count(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`
}
