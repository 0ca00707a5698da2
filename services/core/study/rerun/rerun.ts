import type { Condition } from '../../model/episode.ts'
import { contactSchema } from '../../model/contact.ts'
import type { Past } from '../../model/ports/past.ts'
import type { RerunOrder, RerunOutcome } from '../../model/rerun.ts'
import type { Settings } from '../../model/settings.ts'
import { shopNights } from '../shop-nights.ts'
import { clogsFound, groupChecks, judgeNight, warnedOf, type GroupChecks } from './clog-warnings.ts'
import { drive } from './drive.ts'
import { commonestFirst, createGatherer, nightsHeld } from './gather.ts'
import { conditionsDecidedBy, withLimit } from './limit-choices.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
/** What a head went through in the days before the period is lived through, and not counted. Starting value. */
export const WARM_UP_MS = 7 * DAY_MS
/** Checks from before the period tell whether a head was clear when it began. Starting value. */
const CHECKS_BEFORE_MS = 30 * DAY_MS
/** A night that has begun within the period is over within this: a check in its middle is seen as that. */
const LONGEST_NIGHT_MS = 92 * DAY_MS

/** Where nobody was named to be told, nights are counted as if one person could be called at any hour. */
const SOMEBODY = contactSchema.parse({ id: 'somebody', title: 'Somebody', mail: 'somebody@example.org' })

/** A period that can be run again, and what of it is read how. */
export interface RerunSpan {
  readonly sinceMs: number
  readonly fromMs: number
  readonly toMs: number
  readonly minutesUntilMs: number
}

/**
 * What can be run of an order: it begins with the record at the soonest, and reads minutes where readings are held no
 * longer.
 */
export function rerunSpan(
  past: Past,
  order: Pick<RerunOrder, 'fromMs' | 'toMs' | 'grain'>,
): RerunSpan | null {
  const beginsMs = past.recordBeginsMs()
  if (beginsMs === null || beginsMs >= order.toMs) return null
  const fromMs = Math.max(order.fromMs, beginsMs)
  const sinceMs = Math.max(fromMs - WARM_UP_MS, beginsMs)
  const heldFromMs = past.readingsBeginMs()
  const allHeld =
    heldFromMs === null || heldFromMs <= sinceMs + MINUTE_MS || heldFromMs <= beginsMs + MINUTE_MS
  const wholeMinuteMs = (ms: number): number => Math.ceil(ms / MINUTE_MS) * MINUTE_MS
  return {
    sinceMs,
    fromMs,
    toMs: order.toMs,
    minutesUntilMs:
      order.grain === 'minutes' ? wholeMinuteMs(order.toMs) : allHeld ? -Infinity : wholeMinuteMs(heldFromMs),
  }
}

/** One value of the limit, over the whole span. */
export function rerunWith(
  past: Past,
  {
    span,
    limit,
    value,
    onShare,
  }: { span: RerunSpan; limit: string; value: number; onShare?: (share: number) => void },
): RerunOutcome {
  const gatherer = createGatherer(span)
  const change = (settings: Settings): Settings => ({
    ...settings,
    limits: withLimit(settings.limits, { limit, value }),
    contacts: settings.contacts.length > 0 ? settings.contacts : [SOMEBODY],
  })
  const { state, episodes, readings, actsDropped } = drive({
    past,
    ...span,
    change,
    onEffect: gatherer.onEffect,
    ...(onShare ? { onShare } : {}),
  })
  const { settings } = state
  const decides = conditionsDecidedBy(limit)
  const { alarms, nights } = gatherer.result()
  const series = checksAround(past, span)
  const clogs = clogsFound(series, span).map((clog) => warnedOf(clog, episodes, { decides, settings }))
  const judged = nights.map((night) => judgeNight(night, series))
  const count = (what: (typeof judged)[number]): number => judged.filter((j) => j === what).length
  return {
    value,
    alarms,
    nightsWoken: nights.length,
    wokenBeforeClog: count('beforeClog'),
    wokenForNothing: count('forNothing'),
    wokenUnclear: count('unclear'),
    nightsHeld: nightsHeld(episodes, decides, { ...span, timeZone: settings.site.timeZone }),
    clogs,
    medianLeadMs: median(clogs.flatMap((c) => (c.warnedMs === null ? [] : [c.checkedMs - c.warnedMs]))),
    readings,
    actsDropped,
  }
}

/** Checks of the period and of before it, and how they lie among the shop's nights, as Causes takes them. */
function checksAround(past: Past, { fromMs, toMs }: RerunSpan): readonly GroupChecks[] {
  const window = { fromMs: fromMs - CHECKS_BEFORE_MS, toMs }
  const settings = past
    .settingsWithin({ fromMs: 0, toMs })
    .map((input) => ({ sinceMs: input.atMs, settings: input.settings }))
  return groupChecks({
    shopNights: shopNights(settings, toMs + LONGEST_NIGHT_MS),
    checks: past.checks(window),
    headChanges: past.headChanges(window),
  })
}

/** Alarms as they stand on record for the period. */
export function alarmsOnRecord(past: Past, { fromMs, toMs }: RerunSpan): RerunOutcome['alarms'] {
  const counts = new Map<Condition, number>()
  for (const { arose, condition } of past.alarmChanges({ fromMs, toMs })) {
    if (arose) counts.set(condition, (counts.get(condition) ?? 0) + 1)
  }
  return commonestFirst(counts)
}

function median(values: readonly number[]): number | null {
  const sorted = [...values].sort((a, b) => a - b)
  const [low, high] = [sorted[Math.floor((sorted.length - 1) / 2)], sorted[Math.floor(sorted.length / 2)]]
  return low === undefined || high === undefined ? null : (low + high) / 2
}
