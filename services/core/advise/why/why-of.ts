import { clockText } from '../../model/clock-text.ts'
import type { Condition, Episode } from '../../model/episode.ts'
import type { Settings } from '../../model/settings.ts'
import type { WhyView } from '../../model/views.ts'
import { airWhy } from './air.ts'
import { bottleWhy } from './bottle.ts'
import { headWhy } from './head.ts'
import { limitFrom } from './limit-from.ts'
import { monitorWhy } from './monitor.ts'
import { powerWhy } from './power.ts'
import { sensorWhy } from './sensors.ts'
import type { WhyNumber, WhyOf, WhyWords } from './why-words.ts'

const WHY: WhyOf<Condition> = {
  ...airWhy,
  ...headWhy,
  ...powerWhy,
  ...bottleWhy,
  ...sensorWhy,
  ...monitorWhy,
}

/** What stands behind an episode: the rule with the limits in force, where they come from, and what was measured. */
export function whyOf(episode: Episode, settings: Settings): WhyView {
  const { limits, site } = settings
  // Evidence is read days later too, so a time always carries its weekday.
  const at = (atMs: number) => clockText(atMs, { timeZone: site.timeZone, nowMs: Infinity })
  const words = WHY[episode.condition]({ episode, settings, limits, at })
  return {
    rule: words.rule,
    limitFrom: typeof words.limit === 'string' ? words.limit : limitFrom(limits, words.limit),
    numbers: [...measuredNumbers(episode, words), ...words.numbers, ...timeNumbers(episode, at)],
  }
}

function measuredNumbers({ value, worst }: Episode, { measured }: WhyWords): WhyNumber[] {
  if (!measured || value === null) return []
  const { label, text } = measured
  const numbers = [{ label, value: text(value) }]
  if (worst !== null && text(worst) !== text(value))
    numbers.push({ label: 'Worst so far', value: text(worst) })
  return numbers
}

function timeNumbers({ fromMs, openedMs, toMs }: Episode, at: (atMs: number) => string): WhyNumber[] {
  const numbers = [{ label: 'Since', value: at(fromMs) }]
  if (at(openedMs) !== at(fromMs)) numbers.push({ label: 'Sure at', value: at(openedMs) })
  if (toMs !== null) numbers.push({ label: 'Until', value: at(toMs) })
  return numbers
}
