import { expect, it } from 'vitest'
import { createSimulatedShop } from '../../../../../sensors/simulator/create-shop.ts'
import { demoPlan } from '../../../../../sensors/simulator/shop-plan.ts'
import { learnPowerBands } from '../../../../../services/core/learn/learn-power-bands.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { chopped, createMeteredMachine, minuteSamples, type Draw } from '../track/metered-machine.ts'

const DAY = 86_400_000
const DAYS = 8
const START = Date.parse('2026-10-05T00:00:00Z')
const METERS = {
  'roll-left': 'roll-bench/power',
  'sheet-window': 'window-bench/power',
  'sheet-back': 'back-wall/power',
}
const plan = demoPlan()
const { isOpenAt } = openingCalendar(plan.settings)

/** What the meters of an invented shop said, every ten seconds, and what was true. */
function live(seed: number) {
  const shop = createSimulatedShop({ seed, plan, startMs: START })
  const draws = new Map<string, Draw[]>(Object.values(METERS).map((id) => [id, []]))
  for (let day = 1; day <= DAYS; day++) {
    shop.advanceTo(START + day * DAY)
    for (const { nodeId, samples } of shop.takeSamples()) {
      for (const { channel, atMs, value } of samples) {
        draws.get(`${nodeId}/${channel}`)?.push([atMs, Number(value)])
      }
    }
  }
  return { draws, truth: shop.truth() }
}

const learnedFrom = live(31)
const judged = live(32)

it.each(
  Object.entries(METERS).flatMap(([id, meter]) =>
    [1, 6].map((times) => ({ id, meter, everyS: times * 10, times })),
  ),
)(
  'the cleanings of $id are told with a meter that reports every $everyS s, from bands learned of another shop year',
  ({ id, meter, times }) => {
    const past = chopped(learnedFrom.draws.get(meter) ?? [], times)
    const outcome = learnPowerBands({
      machineId: 'roll',
      samples: minuteSamples(past),
      offBelowW: 2,
      isOpenAt,
    })
    if (!outcome.separable) throw new Error(`not separable: ${outcome.reason}`)
    const machine = createMeteredMachine({ learned: [outcome.value] })
    machine.meter(chopped(judged.draws.get(meter) ?? [], times))

    const whole = judged.truth.flatMap(({ kind, subjectId, fromMs, toMs }) =>
      kind === 'cleaning' && subjectId === id && toMs !== null ? [{ fromMs, toMs }] : [],
    )
    const seen = machine.of('cleaned')
    type Stretch = { fromMs: number; toMs: number }
    const meets = (a: Stretch, b: Stretch) => a.fromMs < b.toMs + 60_000 && b.fromMs < a.toMs + 60_000
    const found = whole.filter((c) => seen.some((s) => meets(c, s))).length
    const invented = seen.filter((s) => !whole.some((c) => meets(c, s))).length
    expect(whole.length).toBeGreaterThan(20)
    expect(found / whole.length).toBeGreaterThanOrEqual(0.95)
    expect(invented).toBe(0)
  },
)
