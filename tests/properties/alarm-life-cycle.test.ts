import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { TRANSITIONS } from '../../services/core/alarms/life-cycle.ts'
import { ALARM_STATES } from '../../services/core/model/alarm.ts'
import { createLifeModel, type LifeModel } from '../parts/alarm-life-model.ts'
import { createLifeShop, type LifeShop, WORLDS } from '../parts/alarm-life-shop.ts'

/** A person, a plan, the clock or the world does something to model and kernel alike; then both must show the same. */
type Act = (on: LifeModel | LifeShop) => void

function commandOf(name: string, act: Act): fc.Command<LifeModel, LifeShop> {
  return {
    check: () => true,
    run: (model, shop) => {
      act(model)
      act(shop)
      expect(shop.shown(), name).toEqual(model.shown())
      expect(shop.lawsBroken(), name).toEqual([])
    },
    toString: () => name,
  }
}

const which = fc.constantFrom('first' as const, 'second' as const)
const minutes = fc.oneof(
  fc.integer({ min: 0, max: 4 }),
  fc.constantFrom(9, 10, 11, 29, 30, 31),
  fc.integer({ min: 1, max: 90 }),
)
const commands = [
  which.map((k) => commandOf(`${k} arises`, (on) => on.arise(k))),
  which.map((k) => commandOf(`${k} is over`, (on) => on.end(k))),
  which.map((k) => commandOf(`${k} never was`, (on) => on.withdraw(k))),
  fc.constant(commandOf("I'm on it", (on) => on.acknowledge())),
  fc.integer({ min: 1, max: 120 }).map((m) => commandOf(`shelved for ${m} min`, (on) => on.shelve(m))),
  fc.constant(commandOf('taken down', (on) => on.unshelve())),
  fc.constant(commandOf('quiet planned', (on) => on.planQuiet())),
  fc.constant(commandOf('quiet ended', (on) => on.endQuiet())),
  minutes.map((m) => commandOf(`${m} min pass`, (on) => on.wait(m))),
]

describe('the life of an alarm against a model of it', { timeout: 120_000 }, () => {
  it('LIFE-1 to 12 and REALARM-1 to 3 whatever happens in whatever order, and every transition is reached', () => {
    const reached = new Map<string, number>()
    for (const world of WORLDS) {
      fc.assert(
        fc.property(fc.commands(commands, { maxCommands: 60, size: 'max' }), (run) => {
          const model = createLifeModel(world)
          fc.modelRun(() => ({ model, real: createLifeShop(world) }), run)
          for (const step of model.reached) reached.set(step, (reached.get(step) ?? 0) + 1)
        }),
        { numRuns: 1500 },
      )
    }
    const all = ALARM_STATES.flatMap((s) =>
      Object.keys(TRANSITIONS[s]).map((happening) => `${s} ${happening}`),
    )
    const counts = Object.fromEntries(all.map((step) => [step, reached.get(step) ?? 0]))
    expect(
      all.filter((step) => (counts[step] ?? 0) < 10),
      JSON.stringify(counts),
    ).toEqual([])
    expect([...reached.keys()].filter((step) => !all.includes(step))).toEqual([])
  })
})
