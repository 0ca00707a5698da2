import { initialKernel } from '../../services/core/kernel/state.ts'
import { step } from '../../services/core/kernel/step.ts'
import type { Input, Reading } from '../../services/core/model/input.ts'
import { vapourPressureDeficitKpa } from '../../services/core/physics/air.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'
import { testSettings } from '../parts/shop-settings.ts'

const READINGS = 2_000_000
const A_PACK = 100

/** Readings from memory through the whole kernel, against a loop that only computes the vapour pressure deficit. */
export async function kernelBench() {
  const settings = testSettings()
  const startMs = Date.UTC(2026, 0, 5)
  const act = { actorId: 'owner', via: 'program' as const, atMs: startMs }
  const inputs: Input[] = [{ seq: 1, type: 'settings', atMs: startMs, receivedMs: startMs, act, settings }]
  for (let at = 0; at < READINGS; at += A_PACK) {
    const readings: Reading[] = Array.from({ length: A_PACK }, (_, i) => ({
      sensorId: 'bench/humidity',
      quantity: 'humidity',
      atMs: startMs + (at + i) * 10_000,
      value: 41 + 3 * Math.sin((at + i) / 500),
    }))
    const receivedMs = readings.at(-1)?.atMs ?? startMs
    inputs.push({
      seq: inputs.length + 1,
      type: 'readings',
      atMs: receivedMs,
      receivedMs,
      nodeId: 'bench',
      readings,
    })
  }
  const { history } = createMemoryBookOfRecord()
  const state = initialKernel(settings)
  let effects = 0
  const ours = rate(() => {
    for (const input of inputs) effects += step(state, input, history).effects.length
  })
  let sum = 0
  const anchor = rate(() => {
    for (const input of inputs) {
      if (input.type !== 'readings') continue
      for (const { value } of input.readings)
        sum += vapourPressureDeficitKpa({ temperatureC: 21, humidityPct: value })
    }
  })
  if (effects === 0 || sum === 0) throw new Error('the bench did nothing')
  return [
    {
      what: 're-run from memory through the whole kernel, against a loop that only computes VPD',
      ours,
      anchor,
      unit: 'readings/s',
      aim: null,
    },
  ]
}

function rate(work: () => void): number {
  const began = performance.now()
  work()
  return (READINGS / (performance.now() - began)) * 1000
}
