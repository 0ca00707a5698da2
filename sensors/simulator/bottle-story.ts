import { lasting, sensorMishaps, type Mishap, type Mishaps } from './mishap.ts'
import type { BottlePlan } from './plan-kinds.ts'
import type { StoryParts } from './story-parts.ts'

const SECOND = 1000
const MINUTE = 60 * SECOND
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR

/** What befalls a waste bottle and its scale. */
export function createBottleStory({ id }: BottlePlan, { plan, calendar, draw }: StoryParts): Mishaps {
  const inHours = (afterMs: number): number => {
    const openMs = calendar.isOpenAt(afterMs) ? afterMs : (calendar.nextOpeningAfter(afterMs) ?? afterMs)
    return Math.round(openMs + draw.within([0.05, 0.9]) * (calendar.closedFrom(openMs) - openMs))
  }
  const between = (range: readonly [number, number]): number => draw.logWithin(range)
  const signed = (value: number): number => (draw.happens(0.5) ? value : -value)
  const hand = (fromMs: number): Mishap =>
    lasting(
      'onScale',
      id,
      { fromMs: inHours(fromMs), forMs: between([5 * SECOND, 100 * SECOND]) },
      signed(draw.within([0.2, 2])),
    )
  const tube = (fromMs: number): Mishap =>
    lasting(
      'onScale',
      id,
      { fromMs, forMs: between([5 * MINUTE, 20 * HOUR]) },
      signed(draw.within([0.02, 0.1])),
    )
  const overfilled = (fromMs: number): Mishap => {
    const [level] = lasting(
      'bottleLevel',
      id,
      { fromMs: inHours(fromMs), forMs: 10 * MINUTE },
      draw.within([82, 104]),
    ).incidents
    const left = lasting('bottleLeft', id, { fromMs, forMs: draw.within([0.5, 2]) * DAY })
    return { incidents: level ? [level, ...left.incidents] : left.incidents, overMs: left.overMs }
  }
  const leak = (fromMs: number): Mishap =>
    lasting('leak', id, { fromMs, forMs: between([1, 20]) * HOUR }, between([6, 300]))
  const hands =
    (kind: 'bottleEmptied' | 'bottleReplaced', value?: number) =>
    (fromMs: number): Mishap =>
      lasting(kind, id, { fromMs: inHours(fromMs), forMs: between([2 * MINUTE, 12 * MINUTE]) }, value)
  const scale = plan.sensors.find((s) => s.subjectId === id)

  return [
    { weight: 2, at: hand },
    { weight: 2, at: tube },
    { weight: 1, at: (fromMs) => lasting('lump', id, { fromMs, forMs: MINUTE }, draw.within([0.005, 0.06])) },
    {
      weight: 2,
      at: (fromMs) => lasting('bottleLifted', id, { fromMs, forMs: between([30 * SECOND, 30 * MINUTE]) }),
    },
    {
      weight: 1,
      at: (fromMs) => lasting('bottleLifted', id, { fromMs, forMs: between([0.5 * HOUR, 14 * HOUR]) }),
    },
    { weight: 2, at: hands('bottleEmptied') },
    { weight: 1, at: hands('bottleReplaced', draw.within([-0.02, 0.04])) },
    { weight: 2, at: overfilled },
    { weight: 1, at: (fromMs) => lasting('bottleLeft', id, { fromMs, forMs: draw.within([3, 12]) * DAY }) },
    { weight: 2, at: leak },
    ...(scale ? sensorMishaps(scale.id, draw, { driftADay: [0.05, 0.4], rails: [0, -0.5, 9] }) : []),
  ]
}
