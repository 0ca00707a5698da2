import { cpuUsage } from 'node:process'
import { causesOf } from '../../services/core/study/causes.ts'
import { outcomesOf } from '../../services/core/study/clogs.ts'
import { EXPOSURES } from '../../services/core/study/exposure.ts'
import { joinNights } from '../../services/core/study/nights.ts'
import { LIMITS } from '../scorecard/clog-pages.ts'
import { simulateClogShop } from '../scorecard/clog-shops.ts'

const ROUNDS = 9

/**
 * The page of five machines and three years (two channel groups each), without resampling, from nights as they are
 * stored. Beside it, as the anchor, one plain pass that sums every exposure of the same nights. Both are told in
 * milliseconds of processor time: on a shared machine the clock on the wall tells what the others do.
 */
export function causesBench() {
  const { exposures, checks } = simulateClogShop({
    machines: 5,
    days: 1095,
    clogShare: 0.006,
    dryFactor: 1.5,
    seed: 1,
  })
  const page = (): number =>
    causesOf(joinNights(exposures, outcomesOf(checks)), { limits: LIMITS, resampling: null }).tests.length
  const anchor = (): number =>
    exposures.reduce((sum, night) => EXPOSURES.reduce((s, e) => s + (night[e] ?? 0), sum), 0)
  return [
    {
      what: 'Causes, 5 machines, 3 years, without resampling (at most 300 ms)',
      ours: medianCpuMs(page),
      anchor: medianCpuMs(anchor),
      unit: 'ms',
      aim: null,
    },
  ]
}

function medianCpuMs(run: () => number): number {
  const took = Array.from({ length: ROUNDS }, () => {
    const before = cpuUsage()
    run()
    const { user, system } = cpuUsage(before)
    return (user + system) / 1000
  }).sort((a, b) => a - b)
  return took[Math.floor(ROUNDS / 2)] ?? NaN
}
