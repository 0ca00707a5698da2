import type { Incident } from './incident.ts'
import { lasting, type Mishap, type Mishaps } from './mishap.ts'
import type { MachinePlan } from './plan-kinds.ts'
import type { Range } from './plan-ranges.ts'
import type { StoryParts } from './story-parts.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const CUT: Range = [0.5 * MINUTE, 3 * DAY]
/** In the evening or at a weekend a cut is found when somebody comes. */
const FOUND_AFTER: Range = [3 * MINUTE, 28 * MINUTE]

/** What befalls a machine: cuts, flicker, low voltage, hands that forget it, errors, cleanings and waste that stay away. */
export function createMachineStory(machine: MachinePlan, { calendar, draw }: StoryParts): Mishaps {
  const { id, standbyW, cleaningW, printingW } = machine
  const hours = (fromMs: number, range: Range) => ({ fromMs, forMs: draw.logWithin(range) * HOUR })
  const opening = (afterMs: number): number => calendar.nextOpeningAfter(afterMs) ?? afterMs + DAY
  const workday = (afterMs: number): number => {
    const openMs = calendar.isOpenAt(afterMs) ? afterMs : opening(afterMs)
    const closesMs = calendar.closedFrom(openMs)
    return Math.round(openMs + (closesMs - openMs) * draw.within([0.1, 0.9]))
  }

  const flicker = (fromMs: number): Mishap => {
    const incidents: Incident[] = []
    let atMs = fromMs
    for (let n = draw.wholeWithin([2, 8]); n > 0; n--) {
      const toMs = Math.round(atMs + draw.within([10_000, 150_000]))
      incidents.push({ kind: 'powerCut', subjectId: id, fromMs: atMs, toMs })
      atMs = Math.round(toMs + draw.within([2 * MINUTE, 12 * MINUTE]))
    }
    return { incidents, overMs: atMs }
  }
  const whilePrinting = (fromMs: number): Mishap => {
    const cutMs = workday(fromMs)
    const forMs = draw.happens(0.5) ? draw.logWithin([3 * MINUTE, 2 * HOUR]) : opening(cutMs) - cutMs
    return lasting('powerCut', id, { fromMs: cutMs, forMs: forMs + draw.within(FOUND_AFTER) })
  }
  const leftOff = (fromMs: number): Mishap => {
    const closesMs = calendar.closedFrom(calendar.isOpenAt(fromMs) ? fromMs : opening(fromMs))
    const offMs = Math.round(closesMs - draw.within([2 * MINUTE, 40 * MINUTE]))
    return lasting('powerCut', id, {
      fromMs: offMs,
      forMs: opening(closesMs) - offMs + draw.within(FOUND_AFTER),
    })
  }
  const headLeftOff = (fromMs: number): Mishap => {
    const handMs = workday(fromMs)
    const forMs = draw.happens(0.6) ? draw.within([10, 50]) * MINUTE : draw.logWithin([1, 15]) * HOUR
    return lasting('headLeftOff', id, { fromMs: handMs, forMs })
  }
  const errorW = (): number =>
    draw.happens(0.5) ? (standbyW * 1.35 + cleaningW) / 2 : (cleaningW * 1.12 + printingW) / 2

  return [
    { weight: 4, at: (fromMs) => lasting('powerCut', id, { fromMs, forMs: draw.logWithin(CUT) }) },
    { weight: 2, at: whilePrinting },
    { weight: 1, at: leftOff },
    { weight: 1, at: flicker },
    { weight: 1, at: (fromMs) => lasting('brownout', id, hours(fromMs, [0.1, 6]), draw.within([0.8, 0.95])) },
    { weight: 1, at: headLeftOff },
    { weight: 2, at: (fromMs) => lasting('cleaningOff', id, hours(fromMs, [24, 120])) },
    { weight: 1, at: (fromMs) => lasting('errorStop', id, hours(fromMs, [0.5, 14]), errorW()) },
    { weight: 1, at: (fromMs) => lasting('idle', id, hours(fromMs, [24, 120])) },
    { weight: 3, at: (fromMs) => lasting('lineBlocked', id, hours(fromMs, [24, 120])) },
  ]
}
