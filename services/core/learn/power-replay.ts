import type { PowerBands } from '../model/learned/power-bands.ts'
import { initialPower, stepPower } from '../track/power.ts'
import { powerRuleOf } from '../track/power-rule.ts'
import type { PowerPast } from './power-labels.ts'

export interface Replayed {
  readonly cleanings: number
  readonly printedMs: number
  /** Of this, while the shop was closed. */
  readonly printedClosedMs: number
}

/** What the machine would have been seen to do in its past, had these bands been in force. */
export function replay(
  { samples, machineId, isOpenAt, offBelowW }: PowerPast,
  bands: PowerBands,
  sampleMs: number,
): Replayed {
  const sensorId = 'meter'
  const heard = { id: sensorId, quantity: 'power', validForMs: 3 * sampleMs } as const
  const sensors = new Map([[sensorId, heard]])
  const rule = powerRuleOf(
    { id: machineId, offBelowW },
    new Map([[`powerBands|${machineId}`, bands]]),
    sensors,
  )
  const facts = initialPower()
  const seen = { cleanings: 0, printedMs: 0, printedClosedMs: 0 }
  for (const { atMs, meanW } of samples) {
    stepPower(facts, { sensorId, quantity: 'power', atMs, value: meanW }, rule, { sensors }, (change) => {
      if (change.type === 'cleaned') seen.cleanings++
      if (change.type !== 'printed') return
      const lastedMs = change.toMs - change.fromMs
      seen.printedMs += lastedMs
      if (!isOpenAt((change.fromMs + change.toMs) / 2)) seen.printedClosedMs += lastedMs
    })
  }
  return seen
}
