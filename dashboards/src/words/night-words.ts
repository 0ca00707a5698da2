import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { driestInks, furthestPct, type InkView } from '../strip/ink-lane.ts'
import { airLead } from './night-air.ts'
import { countText, roundPercent } from './quantity-text.ts'
import { aboutTime, dayClock, type ShopNow } from './shop-time.ts'

export interface NightWords {
  /** What the night will do, in one sentence. */
  readonly lead: string
  /** What that rests on, where it is not firm. */
  readonly basis: readonly string[]
}

type Sheet = Pick<BoardView, 'nowMs' | 'site'>

/** The coming night of one machine as one person would tell another. null when it was never measured. */
export function nightWords(machine: MachineView, { nowMs, site }: Sheet): NightWords | null {
  const now = { nowMs, timeZone: site.timeZone }
  const { night, inks, humidity } = machine
  if (!night) {
    if (humidity.runs.length === 0 && inks.length === 0) return null
    return {
      lead: 'Nobody can tell the night: the air of its room is not measured now.',
      basis: inkBasis(inks, now),
    }
  }
  const shown = driestInks(inks)
  const told = shown.filter((i) => i.basis !== 'unknown' && i.ahead.length > 0)
  const first = firstToPass(told)
  const opening = dayClock(night.toMs, now, 'long')
  const lead = first ? inkLead(first, inks, { now, opening }) : airLead(machine, night, { now, opening })
  return { lead, basis: [...persistenceWords(night), ...inkBasis(shown, now)] }
}

/** The ink that matters: the one past or passing its limit first, else the one that gets furthest. */
function firstToPass(inks: readonly InkView[]): InkView | undefined {
  const timeOf = ({ usedPct, passesLimit }: InkView): number =>
    usedPct >= 100 ? -Infinity : (passesLimit?.likelyMs ?? passesLimit?.earliestMs ?? Infinity)
  // Equal when both are past or neither passes.
  const order = (a: InkView, b: InkView): number =>
    timeOf(a) === timeOf(b) ? furthestPct(b) - furthestPct(a) : timeOf(a) - timeOf(b)
  return [...inks].sort(order)[0]
}

function inkLead(
  ink: InkView,
  all: readonly InkView[],
  { now, opening }: { now: ShopNow; opening: string },
): string {
  const name = inkName(ink, all)
  if (ink.usedPct >= 100) return `${atStart(name)} is past its limit now.`
  const { earliestMs, likelyMs, latestMs } = ink.passesLimit ?? {}
  if (likelyMs != null) {
    const about = aboutTime(likelyMs, now)
    return `As things stand ${name} passes its limit about ${about}${between(earliestMs, latestMs, now)}.`
  }
  if (earliestMs != null) {
    return `Likely to hold till ${opening}, but not surely: ${name} may pass its limit from ${aboutTime(earliestMs, now)} on${chance(ink)}.`
  }
  const furthest = furthestPct(ink)
  const used = furthest < 2.5 ? 'hardly any' : `about ${roundPercent(furthest)}`
  return `Likely to hold till ${opening}: ${name} will have used ${used} of its limit.`
}

function atStart(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`
}

/** ` (between 02:30 and 06:00)`; nothing when both ends are told as the same time, as for a forecast without spread. */
function between(
  earliestMs: number | null | undefined,
  latestMs: number | null | undefined,
  now: ShopNow,
): string {
  if (earliestMs == null) return ''
  const from = aboutTime(earliestMs, now)
  if (latestMs == null) return ` (from ${from} on)`
  const to = aboutTime(latestMs, now)
  return from === to ? '' : ` (between ${from} and ${to})`
}

function chance({ probabilityBeforeOpening: p }: InkView): string {
  return p === null || p <= 0 ? '' : ` (in about ${roundPercent(p * 100)} of nights like this)`
}

function persistenceWords({ basis, days }: NonNullable<MachineView['night']>): readonly string[] {
  if (basis === 'paths') return []
  const measured = days === 0 ? 'No full day' : `Only ${countText(days, 'day', 'days')}`
  return [`${measured} measured so far: shown as if the air stayed as it is.`]
}

/** Said plainly where nobody saw the ink being wetted. */
function inkBasis(inks: readonly InkView[], now: ShopNow): readonly string[] {
  return (['unknown', 'assumed'] as const).flatMap((basis) => {
    const own = inks.filter((i) => i.basis === basis)
    const [first] = own
    if (!first) return []
    const names = own.map((i) => inkName(i, inks)).join(' and ')
    if (basis === 'unknown')
      return [
        `Nobody saw when ${names} ${own.length > 1 ? 'were' : 'was'} last wetted, so how far drying has gone is not known.`,
      ]
    const when = first.lastWettedMs === null ? '' : ` at ${dayClock(first.lastWettedMs, now)}`
    return [`This assumes that it cleaned itself${when}, as it was told to. Nobody can see that.`]
  })
}

/** `the white ink`, and of which head where a machine has more than one. */
function inkName({ ink, headTitle }: InkView, all: readonly InkView[]): string {
  const heads = new Set(all.map((i) => i.headTitle))
  return `the ${ink} ink${heads.size > 1 ? ` of ${headTitle}` : ''}`
}
