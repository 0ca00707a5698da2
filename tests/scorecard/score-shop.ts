import { CONDITIONS, type Condition, type Episode } from '../../services/core/model/episode.ts'
import { subjectKey } from '../../services/core/model/subject.ts'
import type { LivedShop } from './live-shop.ts'
import { watchingOf } from './machine-truth.ts'
import { matchEpisodes, type FoundEpisode, type TrueSpan } from './match-episodes.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const TOLERANCE_MS = 10 * MINUTE
/** Judged by what came of them, not by whether they held. */
export const FORECASTS: readonly Condition[] = ['headWillDry', 'bottleWillFill']

/** Something that went wrong with the product, to look at again: `seed` gives the same shop. */
export interface Finding {
  readonly seed: number
  readonly condition: Condition
  readonly subject: string
  readonly atMs: number
  readonly lastedMs: number
}

export interface ConditionScore {
  readonly condition: Condition
  readonly occasions: number
  readonly hits: number
  readonly misses: readonly Finding[]
  readonly falseAlarms: readonly Finding[]
  readonly delaysMs: readonly number[]
  /** Of the delays, those longer than one interval of the slowest sensor that hears it. */
  readonly lateHits: number
}

export interface ShopScore {
  readonly seed: number
  readonly machineMonths: number
  readonly readings: number
  readonly conditions: readonly ConditionScore[]
  readonly calls: number
  readonly nightCalls: number
  readonly falseNightCalls: readonly Finding[]
  /** Calls for dryness of a machine that has power, a contact alone, and an unknown self-cleaning. */
  readonly unknownCleaningCalls: readonly Finding[]
  /** False alarms of a bottle with a sunny scale, or with a hand, a tube or a bump on it. */
  readonly disturbedScaleAlarms: readonly Finding[]
  readonly forecasts: Pick<LivedShop, 'fillForecasts' | 'dryForecasts'>
}

export function scoreShop(lived: LivedShop): ShopScore {
  const { story, machineMonths, readings, fillForecasts, dryForecasts } = lived
  const conditions = CONDITIONS.map((condition) => scoreCondition(condition, lived))
  const falseIds = new Set(
    conditions.flatMap((c) => c.falseAlarms.map((f) => `${f.condition}|${f.subject}|${f.atMs}`)),
  )
  const nightCalls = lived.calls.filter((c) => c.atMs >= story.scoredMs && !lived.calendar.isOpenAt(c.atMs))
  const leadOf = (episodeId: string): Episode | undefined => lived.episodes.find((e) => e.id === episodeId)
  const falseNightCalls = nightCalls.flatMap(({ atMs, alarm }): Finding[] => {
    const lead = leadOf(alarm.leadEpisodeId)
    const subject = subjectKey(alarm.subject)
    const isFalse = lead
      ? FORECASTS.includes(lead.condition)
        ? !cameTrue(lead, lived)
        : falseIds.has(`${lead.condition}|${subjectKey(lead.subject)}|${lead.fromMs}`)
      : true
    return isFalse ? [{ seed: story.seed, condition: alarm.condition, subject, atMs, lastedMs: 0 }] : []
  })
  return {
    seed: story.seed,
    machineMonths,
    readings,
    conditions,
    calls: lived.calls.filter((c) => c.atMs >= story.scoredMs).length,
    nightCalls: nightCalls.length,
    falseNightCalls,
    unknownCleaningCalls: unknownCleaningCalls(lived),
    disturbedScaleAlarms: disturbedScaleAlarms(conditions, lived),
    forecasts: { fillForecasts, dryForecasts },
  }
}

function scoreCondition(condition: Condition, { story, truth, episodes }: LivedShop): ConditionScore {
  const { seed, plan, scoredMs, endMs } = story
  const slowestMs = Math.max(...plan.sensors.map((s) => s.everyMs))
  // What is due only when the shop is looked at no more can be neither found nor missed.
  const isJudged = ({ fromMs, dueMs }: TrueSpan): boolean => fromMs >= scoredMs && dueMs <= endMs - slowestMs
  const spans = truth
    .filter((t) => t.condition === condition)
    .flatMap((t) => t.spans)
    .map((s): TrueSpan => (isJudged(s) ? s : { ...s, sure: false }))
  const found = episodes.filter((e) => e.condition === condition).map(toFound)
  const match = matchEpisodes(spans, found, { toleranceMs: TOLERANCE_MS })
  const finding = (f: { subject: string; fromMs: number; toMs: number }): Finding => {
    return { seed, condition, subject: f.subject, atMs: f.fromMs, lastedMs: f.toMs - f.fromMs }
  }
  const falseAlarms = FORECASTS.includes(condition)
    ? []
    : match.falseAlarms.filter((e) => e.openedMs >= scoredMs)
  return {
    condition,
    occasions: match.occasions,
    hits: match.hits,
    misses: match.misses.map(finding),
    falseAlarms: falseAlarms.map(finding),
    delaysMs: match.delaysMs,
    lateHits: match.delaysMs.filter((ms) => ms > slowestMs).length,
  }
}

function toFound({ subject, fromMs, openedMs, toMs }: Episode): FoundEpisode {
  return { subject: subjectKey(subject), fromMs, openedMs, toMs: toMs ?? Infinity }
}

const COMES_TRUE_AS: Partial<Record<Condition, Condition>> = {
  headWillDry: 'headDrying',
  bottleWillFill: 'bottleFull',
}

/** A forecast came true, or somebody came before it could. */
function cameTrue(forecast: Episode, { truth, story, calendar }: LivedShop): boolean {
  const as = COMES_TRUE_AS[forecast.condition]
  const untilMs = calendar.nextOpeningAfter(forecast.openedMs) ?? forecast.openedMs + DAY
  const toMs = Math.max(forecast.toMs ?? untilMs, forecast.openedMs)
  const touches = (condition: Condition | undefined, subject: string, fromMs: number): boolean =>
    truth.some(
      (t) =>
        t.condition === condition &&
        t.spans.some((s) => s.subject === subject && s.fromMs <= untilMs + HOUR / 2 && s.toMs >= fromMs),
    )
  if (touches(as, subjectKey(forecast.subject), forecast.openedMs)) return true
  const averted = toMs < untilMs - TOLERANCE_MS
  return averted && story.endMs > toMs
}

function unknownCleaningCalls({ story, calls }: LivedShop): readonly Finding[] {
  const { plan, seed } = story
  const unknown = watchingOf(plan).filter(
    ({ machine, meter }) =>
      !meter && plan.settings.machines.find((m) => m.id === machine.id)?.selfCleaning.kind === 'unknown',
  )
  return calls
    .filter(({ alarm, atMs }) => {
      if (alarm.condition !== 'headDrying' && alarm.condition !== 'headWillDry') return false
      const machine = unknown.find((w) => alarm.subject.id.startsWith(`${w.machine.id}-`))?.machine
      if (!machine) return false
      const off = plan.settings.site.id
      return !story.incidents.some(
        (i) =>
          ['powerCut', 'mainsFailure'].includes(i.kind) &&
          [machine.id, off].includes(i.subjectId) &&
          atMs >= i.fromMs &&
          atMs <= i.toMs + TOLERANCE_MS,
      )
    })
    .map(({ alarm, atMs }) => {
      return { seed, condition: alarm.condition, subject: subjectKey(alarm.subject), atMs, lastedMs: 0 }
    })
}

const OF_BOTTLES: readonly Condition[] = [
  'bottleNear',
  'bottleFull',
  'bottleMissing',
  'bottleLosingWeight',
  'wasteNotArriving',
]

function disturbedScaleAlarms(
  conditions: readonly ConditionScore[],
  { story }: LivedShop,
): readonly Finding[] {
  const disturbed = (subject: string, atMs: number): boolean =>
    story.incidents.some(
      (i) =>
        `bottle:${i.subjectId}` === subject &&
        (i.kind === 'scaleSwing' || i.kind === 'onScale') &&
        atMs >= i.fromMs - HOUR &&
        atMs <= i.toMs + 2 * HOUR,
    )
  return conditions
    .filter((c) => OF_BOTTLES.includes(c.condition))
    .flatMap((c) => c.falseAlarms.filter((f) => disturbed(f.subject, f.atMs)))
}
