import { openingCalendar, type Span } from '../../services/core/model/opening-hours.ts'
import { createBottleStory } from './bottle-story.ts'
import { createChance } from './chance.ts'
import { createDraw, type Draw } from './draw.ts'
import type { Incident } from './incident.ts'
import { createMachineStory } from './machine-story.ts'
import { lasting, type Mishap, type Mishaps } from './mishap.ts'
import type { ShopPlan } from './plan-kinds.ts'
import type { Range, ShopRanges } from './plan-ranges.ts'
import { createRoomStory } from './room-story.ts'
import type { StoryParts } from './story-parts.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
/** After a mishap a subject is left alone so long that no two of them are taken for one. */
const REST_BETWEEN: Range = [3 * HOUR, 9 * HOUR]

/**
 * Everything that goes wrong in a shop of `createShopPlan` within `span`, told beforehand: power cuts of seconds to
 * days, heads off their caps, machines that stop or no longer clean, air that is dry, damp, cold or warm, bottles
 * lifted, leaking, forgotten, hands and tubes on scales, sensors that die in each of five ways, dark nodes. Nothing is
 * left to the simulator's own chance. What befalls one subject does not overlap; the shop's mains spare nobody.
 */
export function createShopStory(options: {
  readonly seed: number
  readonly plan: ShopPlan
  readonly ranges: ShopRanges
  readonly span: Span
}): readonly Incident[] {
  const { seed, plan, ranges, span } = options
  const chance = createChance(seed)
  const calendar = openingCalendar(plan.settings)
  const site = plan.settings.site.id
  const calm: Incident = {
    kind: 'calm',
    subjectId: site,
    fromMs: span.fromMs - 30 * DAY,
    toMs: span.toMs + DAY,
  }
  const { betweenDays } = ranges
  const story = (name: string, between: Range, mishapsOf: (draw: Draw) => Mishaps): readonly Incident[] => {
    const draw = createDraw(chance, `story/${name}`)
    return tellStory(mishapsOf(draw), draw, { span, meanDays: draw.within(between) })
  }
  const parts = (draw: Draw): StoryParts => ({ plan, calendar, draw })
  const nodes = [...new Set(plan.sensors.filter((s) => !s.onBattery).map((s) => s.nodeId))]

  return [
    calm,
    ...plan.machines.flatMap((m) =>
      story(m.id, betweenDays.machine, (draw) => createMachineStory(m, parts(draw))),
    ),
    ...plan.rooms.flatMap((r) => story(r.id, betweenDays.room, (draw) => createRoomStory(r, parts(draw)))),
    ...plan.bottles.flatMap((b) =>
      story(b.id, betweenDays.bottle, (draw) => createBottleStory(b, parts(draw))),
    ),
    ...nodes.flatMap((id) => story(id, betweenDays.node, (draw) => nodeMishaps(id, draw))),
    ...story('mains', betweenDays.mains, (draw) => mainsMishaps(plan, draw)),
    ...plan.bottles.flatMap((b) => sunOn(b.id, createDraw(chance, `sun/${b.id}`), ranges, span)),
  ]
}

function tellStory(
  mishaps: Mishaps,
  draw: Draw,
  { span, meanDays }: { span: Span; meanDays: number },
): readonly Incident[] {
  const told: Incident[] = []
  const wheel = mishaps.flatMap((m) => Array.from({ length: m.weight }, () => m))
  if (wheel.length === 0) return told
  for (let atMs = span.fromMs; ;) {
    atMs += draw.within(REST_BETWEEN) + draw.waiting(meanDays * DAY)
    if (atMs > span.toMs) return told
    const { incidents, overMs } = draw.pick(wheel).at(Math.round(atMs))
    told.push(...incidents)
    atMs = Math.max(atMs, overMs)
  }
}

function nodeMishaps(nodeId: string, draw: Draw): Mishaps {
  const forMs = (): number => draw.logWithin([3 * MINUTE, 8 * HOUR])
  return [{ weight: 1, at: (fromMs) => lasting('nodeDark', nodeId, { fromMs, forMs: forMs() }) }]
}

/** The mains fail, and nodes with them; or all machines lose their power within a minute, and nodes live on. */
function mainsMishaps(plan: ShopPlan, draw: Draw): Mishaps {
  const forMs = (): number => draw.logWithin([MINUTE, 12 * HOUR])
  const site = plan.settings.site.id
  const allMachines = (fromMs: number): Mishap => {
    const toMs = fromMs + forMs()
    const incidents = plan.machines.map((m): Incident => {
      const ownMs = Math.round(draw.within([0, 20_000]))
      return { kind: 'powerCut', subjectId: m.id, fromMs: fromMs + ownMs, toMs: Math.round(toMs) + ownMs }
    })
    return { incidents, overMs: toMs }
  }
  return [
    { weight: 1, at: (fromMs) => lasting('mainsFailure', site, { fromMs, forMs: forMs() }) },
    { weight: 1, at: allMachines },
  ]
}

function sunOn(bottleId: string, draw: Draw, ranges: ShopRanges, span: Span): readonly Incident[] {
  if (!draw.happens(ranges.sunny)) return []
  const value = draw.within(ranges.scaleSwingK)
  return [
    { kind: 'scaleSwing', subjectId: bottleId, fromMs: span.fromMs - DAY, toMs: span.toMs + DAY, value },
  ]
}
