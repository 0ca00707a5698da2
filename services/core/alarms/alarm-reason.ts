import { clockText } from '../model/clock-text.ts'
import type { Condition, Episode } from '../model/episode.ts'
import { priorityOf } from './priority.ts'
import type { AlarmReason, ReasonContext, ReasonsOf } from './reason.ts'
import { airReasons } from './reasons/air.ts'
import { bottleReasons } from './reasons/bottle.ts'
import { headReasons } from './reasons/head.ts'
import { monitorReasons } from './reasons/monitor.ts'
import { powerReasons } from './reasons/power.ts'
import { sensorReasons } from './reasons/sensors.ts'
import { titleOf } from './subject-title.ts'
import { urgencyOf } from './urgency.ts'

export { leadOf } from './lead.ts'
export type { AlarmReason, ReasonContext } from './reason.ts'
export { rootKeyOf } from './root.ts'
export { titleOf } from './subject-title.ts'

/** The words of every condition. Without all four parts it would not be an alarm, so the type asks for them. */
export const REASONS: ReasonsOf<Condition> = {
  ...airReasons,
  ...headReasons,
  ...powerReasons,
  ...bottleReasons,
  ...sensorReasons,
  ...monitorReasons,
}

/** Trade facts in these texts are common practice, no source, unless one is named; the machine's manual goes first. */
export function alarmReason(episode: Episode, context: ReasonContext): AlarmReason {
  const { settings, nowMs } = context
  const urgency = urgencyOf(episode, context)
  const words = REASONS[episode.condition]({
    episode,
    value: episode.value,
    settings,
    nowMs,
    title: titleOf(episode.subject, settings),
    since: clockText(episode.fromMs, { timeZone: settings.site.timeZone, nowMs }),
    night: episode.shopClosed,
    now: urgency === 'now',
  })
  return { urgency, priority: priorityOf(episode.condition, urgency), ...words }
}
