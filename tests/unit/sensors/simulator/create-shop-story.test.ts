import { describe, expect, it } from 'vitest'
import { createShopPlan } from '../../../../sensors/simulator/create-shop-plan.ts'
import { createShopStory } from '../../../../sensors/simulator/create-shop-story.ts'
import { createSimulatedShop } from '../../../../sensors/simulator/create-shop.ts'
import { INCIDENT_KINDS, type Incident } from '../../../../sensors/simulator/incident.ts'
import { FINAL, TUNING } from '../../../../sensors/simulator/plan-ranges.ts'

const DAY = 86_400_000
const spanFrom = (fromMs: number) => ({ fromMs, toMs: fromMs + 30 * DAY })
const storyOf = (seed: number): readonly Incident[] =>
  createShopStory({
    seed,
    plan: createShopPlan(seed, TUNING),
    ranges: TUNING,
    span: spanFrom(TUNING.start[0]),
  })

describe('a random shop', () => {
  it('PLAN-2 the same seed gives the same shop and the same story, another seed another', () => {
    expect(createShopPlan(5, TUNING)).toEqual(createShopPlan(5, TUNING))
    expect(storyOf(5)).toEqual(storyOf(5))
    expect(createShopPlan(5, TUNING)).not.toEqual(createShopPlan(6, TUNING))
  })

  it('PLAN-3 every sensor is bound to a subject that exists, and every machine drains into a bottle of its room', () => {
    let shared = 0
    let contactOnly = 0
    for (let seed = 1; seed <= 200; seed++) {
      const { settings, machines, bottles, sensors, rooms } = createShopPlan(seed, seed % 2 ? TUNING : FINAL)
      expect(settings.sensors.map((s) => s.id)).toEqual(sensors.map((s) => s.id))
      expect(rooms.length).toBeGreaterThan(0)
      for (const m of machines) {
        const bottle = bottles.find((b) => b.id === m.bottleId)
        expect(bottle?.roomId).toBe(m.roomId)
        expect(settings.bottles.find((b) => b.id === m.bottleId)?.machines).toContain(m.id)
        const quantities = sensors.filter((s) => s.subjectId === m.id).map((s) => s.quantity)
        expect(quantities.length).toBeGreaterThan(0)
        if (quantities.join() === 'powered') {
          contactOnly++
          expect(settings.machines.find((s) => s.id === m.id)?.selfCleaning.kind).toBe('unknown')
        }
      }
      if (settings.bottles.some((b) => b.machines.length > 1)) shared++
    }
    expect(shared).toBeGreaterThan(10)
    expect(contactOnly).toBeGreaterThan(20)
  })

  it('STORY-1 what befalls one subject does not overlap, and every kind of mishap comes up', () => {
    const kinds = new Set<string>()
    let pairs = 0
    for (let seed = 1; seed <= 60; seed++) {
      const own = storyOf(seed).filter(
        (i) => !['calm', 'scaleSwing', 'mainsFailure', 'powerCut', 'bottleLeft', 'nodeDark'].includes(i.kind),
      )
      for (const i of storyOf(seed)) kinds.add(i.kind)
      for (const a of own)
        for (const b of own) {
          if (a === b || a.subjectId !== b.subjectId || a.fromMs > b.fromMs) continue
          pairs++
          expect(b.fromMs).toBeGreaterThanOrEqual(a.toMs)
        }
    }
    expect(pairs).toBeGreaterThan(500)
    expect([...kinds].sort()).toEqual([...INCIDENT_KINDS].sort())
  })

  it('STORY-2 two sets of ranges share no seed', () => {
    expect(FINAL.firstSeed).toBeGreaterThan(TUNING.firstSeed + 100_000)
    expect(FINAL.start[0]).toBeGreaterThan(TUNING.start[1])
  })

  it('STORY-3 a shop of any seed lives through a story, and its numbers stay possible', () => {
    for (const ranges of [TUNING, FINAL]) {
      for (let n = 0; n < 3; n++) {
        const seed = ranges.firstSeed + n
        const plan = createShopPlan(seed, ranges)
        const span = { fromMs: ranges.start[0], toMs: ranges.start[0] + 4 * DAY }
        const incidents = createShopStory({ seed, plan, ranges, span })
        const shop = createSimulatedShop({ seed, plan, startMs: span.fromMs, incidents })
        shop.advanceTo(span.toMs, { cadenceMs: 60_000 })
        const values = shop.takeSamples().flatMap((t) => t.samples.map((s) => Number(s.value)))
        expect(values.length).toBeGreaterThan(10_000)
        expect(values.every(Number.isFinite)).toBe(true)
        for (const room of shop.look().rooms.values()) {
          expect(room.humidityPct).toBeGreaterThan(3)
          expect(room.humidityPct).toBeLessThanOrEqual(100)
        }
      }
    }
  })
})
