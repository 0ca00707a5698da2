import { initialKernel } from '../../services/core/kernel/state.ts'
import { step } from '../../services/core/kernel/step.ts'
import type { Input, InputBody, Reading } from '../../services/core/model/input.ts'
import type { Learned } from '../../services/core/model/learned.ts'
import { emptySettings } from '../../services/core/model/settings.ts'
import { vapourPressureDeficitKpa } from '../../services/core/physics/air.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'
import { testSettings } from '../parts/shop-settings.ts'

const READINGS = 1_000_000
const EVERY_MS = 10_000
const MINUTE = 60_000
const HOUR = 60 * MINUTE

/** What the kernel hears of the test shop's one machine: its room, its meter and its bottle. */
const SENSORS = ['bench/bottle', 'bench/humidity', 'bench/power', 'bench/temperature'] as const

function readingsAt(atMs: number): Reading[] {
  const t = atMs / MINUTE
  const flicker = ((atMs / EVERY_MS) * 7) % 11
  const printing = t % 1440 < 120 && t % 40 < 25
  const power = t % 240 < 4 ? 110 : printing ? 190 : 40
  return [
    { sensorId: SENSORS[0], quantity: 'mass', atMs, value: 0.3 + ((t / 2880) % 1) * 1.4 + flicker / 1e5 },
    { sensorId: SENSORS[1], quantity: 'humidity', atMs, value: 44 + 5 * Math.sin(t / 500) + flicker / 50 },
    { sensorId: SENSORS[2], quantity: 'power', atMs, value: power + flicker / 5 },
    { sensorId: SENSORS[3], quantity: 'temperature', atMs, value: 21 + Math.sin(t / 229) + flicker / 50 },
  ]
}

function benchSettings() {
  const base = testSettings()
  const bands = { cleaning: [90, 130], printing: [150, 300], cleaningS: [180, 300] }
  return testSettings({
    machines: base.machines.map((m) => ({ ...m, powerBandsW: bands })),
    sensors: [
      ...base.sensors.filter((s) => s.quantity !== 'powered'),
      { id: SENSORS[2], quantity: 'power', subject: { kind: 'machine', id: 'roll' }, intervalMs: EVERY_MS },
    ],
  })
}

/** The last four weeks of the room, so that the forecasts of every night cost what they cost. */
function roomNights(toMs: number): Learned {
  const day = (i: number) => ({
    date: new Date(toMs - (20 - i) * 24 * HOUR).toISOString().slice(0, 10),
    temperatureC: Array.from({ length: 48 }, () => 21),
    humidityPct: Array.from({ length: 48 }, (_, slot) => 45 - (i % 7) * (slot < 16 ? 1 : 0)),
  })
  const days = Array.from({ length: 20 }, (_, i) => day(i))
  return {
    kind: 'roomNights',
    subjectId: 'floor',
    fromMs: toMs - 20 * 24 * HOUR,
    toMs,
    version: 'bench',
    days,
  }
}

/** A shop of one machine in which every condition is judged, with a clock that says its time once a minute. */
export function benchInputs(count: number): readonly Input[] {
  const settings = benchSettings()
  const startMs = Date.UTC(2026, 0, 5)
  const act = { actorId: 'owner', via: 'program' as const, atMs: startMs }
  const stamp = { atMs: startMs, receivedMs: startMs }
  const bodies: InputBody[] = [
    { type: 'settings', ...stamp, act, settings },
    { type: 'learned', ...stamp, learned: roomNights(startMs), waiting: false, act: null },
  ]
  for (let at = 0; at < count; at += 24) {
    const fromMs = startMs + (at / 4) * EVERY_MS
    const readings = Array.from({ length: 6 }, (_, i) => readingsAt(fromMs + (i + 1) * EVERY_MS)).flat()
    const receivedMs = fromMs + MINUTE
    bodies.push({ type: 'readings', atMs: receivedMs, receivedMs, nodeId: 'bench', readings })
    bodies.push({ type: 'deadline', atMs: receivedMs, receivedMs: receivedMs + 2_000 })
  }
  return bodies.map((body, i): Input => ({ ...body, seq: i + 1 }))
}

/**
 * Readings from memory through the whole kernel, against a loop that only computes the vapour pressure deficit.
 */
export function kernelBench() {
  const inputs = benchInputs(READINGS)
  const { history } = createMemoryBookOfRecord()
  const state = initialKernel(emptySettings())
  let effects = 0
  const ours = rate(() => {
    for (const input of inputs) effects += step(state, input, history).effects.length
  })
  let sum = 0
  const anchor = rate(() => {
    for (const input of inputs) {
      if (input.type !== 'readings') continue
      for (const { value } of input.readings)
        sum += vapourPressureDeficitKpa({ temperatureC: 21, humidityPct: Math.min(value, 100) })
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
