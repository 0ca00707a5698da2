import { lasting, sensorMishaps, type Mishaps } from './mishap.ts'
import type { RoomPlan } from './plan-kinds.ts'
import type { Range } from './plan-ranges.ts'
import type { StoryParts } from './story-parts.ts'

const HOUR = 3_600_000

/** What befalls a room's air and the sensors that measure it. */
export function createRoomStory({ id }: RoomPlan, { plan, draw }: StoryParts): Mishaps {
  const spell = (fromMs: number, hours: Range = [0.2, 14]) => ({
    fromMs,
    forMs: draw.logWithin(hours) * HOUR,
  })
  const sensors = plan.sensors.filter((s) => s.subjectId === id)
  return [
    { weight: 5, at: (fromMs) => lasting('dryAir', id, spell(fromMs), draw.within([20, 39])) },
    { weight: 4, at: (fromMs) => lasting('dampAir', id, spell(fromMs, [0.5, 14]), draw.within([63, 85])) },
    { weight: 3, at: (fromMs) => lasting('airHeldAt', id, spell(fromMs, [1, 14]), draw.within([5, 14])) },
    { weight: 3, at: (fromMs) => lasting('airHeldAt', id, spell(fromMs, [1, 14]), draw.within([30.5, 37])) },
    ...sensors.flatMap((s) =>
      s.quantity === 'humidity'
        ? sensorMishaps(s.id, draw, { driftADay: [5, 30], rails: [0, 100] })
        : sensorMishaps(s.id, draw, { driftADay: [2, 10], rails: [-40, 85] }),
    ),
  ]
}
