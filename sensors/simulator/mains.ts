import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import type { Chance } from './chance.ts'
import type { Incident } from './incident.ts'
import type { ShopPlan } from './plan-kinds.ts'

const MINUTE = 60_000
const DAY = 86_400_000
/** Chances a day; starting values, high enough that two months hold a few of each. */
const MAINS_FAILS = 1 / 45
const BREAKER_TRIPS = 1 / 25

/** Failures of power on one day: the whole shop's mains, which come back by themselves, and single breakers, which a person must reset. */
export function drawPowerIncidents(plan: ShopPlan, chance: Chance, calendar: OpeningCalendar) {
  return (dayStartMs: number): readonly Incident[] => {
    const incidents: Incident[] = []
    const mains = chance.stream('mains').sequence(dayStartMs)
    const site = plan.settings.site.id
    if (mains() < MAINS_FAILS) {
      const fromMs = dayStartMs + mains() * DAY
      incidents.push({
        kind: 'mainsFailure',
        subjectId: site,
        fromMs,
        toMs: fromMs + (8 + 80 * mains() ** 2) * MINUTE,
      })
    }
    for (const { id } of plan.machines) {
      const draw = chance.stream(`breaker/${id}`).sequence(dayStartMs)
      if (draw() >= BREAKER_TRIPS) continue
      const fromMs = dayStartMs + draw() * DAY
      incidents.push({ kind: 'powerCut', subjectId: id, fromMs, toMs: noticedMs(fromMs, draw(), calendar) })
    }
    return incidents
  }
}

/** When somebody sees a dark machine: within half an hour of an open shop. */
function noticedMs(fromMs: number, draw: number, calendar: OpeningCalendar): number {
  const open = calendar.isOpenAt(fromMs) ? fromMs : (calendar.nextOpeningAfter(fromMs) ?? fromMs + DAY)
  return open + (3 + 25 * draw) * MINUTE
}
