import { openingCalendar, type OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import type { Incident } from './incident.ts'
import type { ShopPlan } from './plan-kinds.ts'
import { demoPlan } from './shop-plan.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
/** Longest time a bottle may have been filling when the story looks back for its last emptying. */
const LOOK_BACK = 60 * DAY
/** Jobs fill about this share of opening hours; used only to guess how a bottle came to its level. */
const PRINTING_SHARE = 0.5
/** Taken for busier than it is, the bottle was emptied too late rather than too early: waste is then poured in, never out. */
const BUSY_SHARE = 0.85
const JUST_EMPTIED_PCT = 2

/**
 * What the demo shows at `nowMs`, whatever the hour: a back room that has been too dry for some 50 minutes, its
 * machine dark in closed hours (still, or until this morning), a waste bottle at about 84 %, and one machine with
 * which all is well. Behind it lie sixty days with dry spells, outages and emptied bottles.
 */
export function demoIncidents(nowMs: number, plan: ShopPlan = demoPlan()): readonly Incident[] {
  const calendar = openingCalendar(plan.settings)
  return [
    { kind: 'calm', subjectId: plan.settings.site.id, fromMs: nowMs - 30 * HOUR, toMs: nowMs + 6 * HOUR },
    {
      kind: 'dryAir',
      subjectId: 'back-room',
      fromMs: nowMs - 56 * MINUTE,
      toMs: nowMs + 3 * HOUR,
      value: 34,
    },
    { kind: 'powerCut', subjectId: 'sheet-back', ...lastCut(nowMs, calendar) },
    ...bottleAt(84, 'roll-waste', nowMs, plan, calendar),
    ...bottleAt(31, 'window-waste', nowMs, plan, calendar),
    ...bottleAt(46, 'back-waste', nowMs, plan, calendar),
    ...pastSpells(nowMs, calendar),
  ]
}

/** The cut lies in closed hours: it still holds when the shop is closed now, and was found at opening when it is open. */
function lastCut(nowMs: number, calendar: OpeningCalendar): { fromMs: number; toMs: number } {
  const found = (openMs: number): number => openMs + 6 * MINUTE
  if (!calendar.isOpenAt(nowMs)) {
    const closedMs = lastChangeBefore(nowMs, calendar)
    const fromMs = Math.max(nowMs - 160 * MINUTE, Math.min(closedMs + 25 * MINUTE, nowMs - 10 * MINUTE))
    return { fromMs, toMs: found(calendar.nextOpeningAfter(nowMs) ?? nowMs + 12 * HOUR) }
  }
  const openedMs = lastChangeBefore(nowMs, calendar)
  return { fromMs: Math.max(nowMs - 11 * HOUR, openedMs - 200 * MINUTE), toMs: found(openedMs) }
}

function lastChangeBefore(atMs: number, calendar: OpeningCalendar): number {
  let change = atMs - 8 * DAY
  for (;;) {
    const next = calendar.nextChangeAfter(change)
    if (next === null || next > atMs) return change
    change = next
  }
}

/**
 * A bottle that holds `fillPct` at `nowMs`: emptied when, at its machine's usual pace, it would have come to that by
 * now, left alone since, and brought by hand to what is still missing shortly before the hours the demo shows.
 */
function bottleAt(
  fillPct: number,
  bottleId: string,
  nowMs: number,
  plan: ShopPlan,
  calendar: OpeningCalendar,
): readonly Incident[] {
  const bottle = plan.bottles.find((b) => b.id === bottleId)
  const machine = plan.machines.find((m) => m.bottleId === bottleId)
  if (!bottle || !machine)
    throw new RangeError(`bottleId must be a bottle of the plan with a machine, got ${bottleId}`)
  const pctAt = (atMs: number, share: number): number => {
    const mlPerH =
      machine.cleaningMl / machine.cleaningEveryH +
      (calendar.isOpenAt(atMs) ? machine.printingMlPerH * share : 0)
    return (mlPerH / bottle.capacityMl) * 100
  }
  const levelMs = nowMs - 14 * HOUR
  let levelPct = fillPct
  for (let atMs = nowMs - HOUR; atMs >= levelMs; atMs -= HOUR) levelPct -= pctAt(atMs, PRINTING_SHARE)
  let emptiedMs = levelMs
  for (let pct = levelPct; pct > JUST_EMPTIED_PCT && emptiedMs > nowMs - LOOK_BACK; emptiedMs -= HOUR)
    pct -= pctAt(emptiedMs, BUSY_SHARE)
  if (!calendar.isOpenAt(emptiedMs))
    emptiedMs = (calendar.nextOpeningAfter(emptiedMs) ?? emptiedMs) + 20 * MINUTE

  const subjectId = bottleId
  return [
    { kind: 'bottleEmptied', subjectId, fromMs: emptiedMs, toMs: emptiedMs + 6 * MINUTE },
    { kind: 'bottleLeft', subjectId, fromMs: emptiedMs, toMs: nowMs + DAY },
    { kind: 'bottleLevel', subjectId, fromMs: levelMs, toMs: levelMs + 10 * MINUTE, value: levelPct },
  ]
}

/** A few things in the weeks before, so that history and causes have something to tell whatever the seed. */
function pastSpells(nowMs: number, calendar: OpeningCalendar): readonly Incident[] {
  const ago = (days: number): number => nowMs - days * DAY
  const dry = (days: number, hours: number, value: number): Incident => {
    return {
      kind: 'dryAir',
      subjectId: 'back-room',
      fromMs: ago(days),
      toMs: ago(days) + hours * HOUR,
      value,
    }
  }
  const cut = (days: number, subjectId: string): Incident => {
    const fromMs = calendar.closedFrom(ago(days)) + 4 * HOUR
    return {
      kind: 'powerCut',
      subjectId,
      fromMs,
      toMs: (calendar.nextOpeningAfter(fromMs) ?? fromMs + DAY) + 9 * MINUTE,
    }
  }
  return [
    dry(5, 3, 33),
    dry(13, 6, 30),
    dry(27, 9, 28),
    dry(41, 4, 35),
    cut(9, 'roll-left'),
    cut(22, 'sheet-back'),
    cut(38, 'sheet-window'),
  ]
}
