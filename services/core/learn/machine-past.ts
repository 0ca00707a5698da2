import type { LearnedValues } from '../model/learned.ts'
import type { Machine } from '../model/settings.ts'
import { initialPower, stepPower, type PowerChange } from '../track/power.ts'
import { powerRuleOf } from '../track/power-rule.ts'
import type { StateSpan } from './learn-cleaning-interval.ts'
import type { PowerSample } from './power-segments.ts'

/** What a machine did in its past, as its meter tells it under the bands in force. */
export interface MachinePast {
  readonly cleanings: readonly { readonly fromMs: number; readonly toMs: number }[]
  readonly spans: readonly StateSpan[]
}

/** Goes through the meter's past with the same rules that judge the present (POWER-STATE-1 and following). */
export function machinePast(
  machine: Pick<Machine, 'id' | 'offBelowW' | 'powerBandsW'>,
  samples: readonly PowerSample[],
  { learned, sampleMs }: { learned: LearnedValues; sampleMs: number },
): MachinePast {
  const sensorId = 'meter'
  const sensors = new Map([
    [sensorId, { id: sensorId, quantity: 'power', validForMs: 3 * sampleMs } as const],
  ])
  const rule = powerRuleOf(machine, learned, sensors)
  const facts = initialPower()
  const cleanings: { fromMs: number; toMs: number }[] = []
  const changes: { atMs: number; to: StateSpan['state'] }[] = []
  const note = (change: PowerChange): void => {
    if (change.type === 'cleaned') cleanings.push({ fromMs: change.fromMs, toMs: change.toMs })
    if (change.type === 'stateChanged') changes.push({ atMs: change.atMs, to: change.to })
  }
  for (const { atMs, meanW } of samples) {
    stepPower(facts, { sensorId, quantity: 'power', atMs, value: meanW }, rule, { sensors }, note)
  }
  const endMs = samples.at(-1)?.atMs ?? 0
  const spans = changes.map(({ atMs, to }, i) => ({
    state: to,
    fromMs: atMs,
    toMs: changes[i + 1]?.atMs ?? endMs,
  }))
  return { cleanings, spans }
}
