import type { Sample } from '../sample.ts'
import type { Chance } from './chance.ts'
import type { Incidents } from './incident.ts'
import type { LoadCell } from './load-cell.ts'
import { createLoadCell } from './load-cell.ts'
import type { SensorPlan, ShopPlan } from './plan-kinds.ts'
import { createSensorTrouble } from './sensor-trouble.ts'
import type { ShopNow } from './shop-now.ts'
import type { Truth } from './truth.ts'

export interface NodeSamples {
  readonly nodeId: string
  readonly samples: readonly Sample[]
}

export interface Sampling {
  readonly measure: (now: ShopNow, around: { open: boolean; mains: boolean }) => void
  /** What was measured since the last call, for each node that measured anything. */
  readonly take: () => readonly NodeSamples[]
}

/** Errors of small digital air sensors, well inside their data sheets' limits; starting values. */
const HUMIDITY_OFFSET_PCT = 0.6
const HUMIDITY_NOISE_PCT = 0.06
const TEMPERATURE_OFFSET_C = 0.12
const TEMPERATURE_NOISE_C = 0.015

interface Probe {
  readonly sensor: SensorPlan
  readonly channel: string
  readonly read: (now: ShopNow, open: boolean) => number | boolean
  readonly disturb: (value: number, atMs: number) => number
  lastMs: number
  lastValue: number | boolean
  stuck: boolean
}

/** The sensors of the shop: what they make of the truth, unless their node is dark or they are stuck. */
export function createSampling(options: {
  readonly plan: ShopPlan
  readonly chance: Chance
  readonly incidents: Incidents
  readonly truth: Truth
  readonly startMs: number
}): Sampling {
  const { plan, incidents, truth, startMs } = options
  const probes = plan.sensors.map((sensor) => createProbe(sensor, options))
  const nodes = [...new Set(plan.sensors.map((s) => s.nodeId))]
  const onBattery = new Set(plan.sensors.filter((s) => s.onBattery).map((s) => s.nodeId))
  const dark = new Set<string>()
  let taken = new Map<string, Sample[]>()

  const keep = (probe: Probe, atMs: number): void => {
    const { sensor, channel, lastValue: value } = probe
    const list = taken.get(sensor.nodeId)
    const sample: Sample = {
      channel,
      quantity: sensor.quantity,
      value,
      atMs,
      monotonicMs: atMs - startMs,
      trustedClock: true,
    }
    if (list) list.push(sample)
    else taken.set(sensor.nodeId, [sample])
  }

  return {
    measure: (now, { open, mains }) => {
      for (const id of nodes) {
        const isDark = (!mains && !onBattery.has(id)) || incidents.at('nodeDark', id, now.atMs) !== undefined
        if (isDark !== dark.has(id)) truth.note('nodeDark', id, isDark, now.atMs)
        if (isDark) dark.add(id)
        else dark.delete(id)
      }
      for (const probe of probes) {
        const { sensor } = probe
        if (now.atMs - probe.lastMs < sensor.everyMs) continue
        probe.lastMs = now.atMs
        const spared = incidents.sparesAllDay(sensor.id, now.atMs)
        const stuck =
          !spared &&
          incidents.at('sensorStuck', sensor.id, now.atMs) !== undefined &&
          !Number.isNaN(probe.lastValue)
        if (stuck !== probe.stuck) truth.note('sensorStuck', sensor.id, stuck, now.atMs)
        probe.stuck = stuck
        if (!stuck) probe.lastValue = disturbed(probe, probe.read(now, open), now.atMs)
        if (dark.has(sensor.nodeId)) continue
        if (!spared && incidents.at('sensorSilent', sensor.id, now.atMs)) continue
        keep(probe, now.atMs)
      }
    },
    take: () => {
      const all = [...taken].map(([nodeId, samples]) => ({ nodeId, samples }))
      taken = new Map()
      return all
    },
  }
}

interface ProbeParts {
  readonly plan: ShopPlan
  readonly chance: Chance
  readonly incidents: Incidents
}

function createProbe(sensor: SensorPlan, parts: ProbeParts): Probe {
  return {
    sensor,
    channel: sensor.id.slice(sensor.nodeId.length + 1),
    read: readerOf(sensor, parts),
    disturb: createSensorTrouble(sensor, parts.chance, parts.incidents),
    lastMs: -Infinity,
    lastValue: NaN,
    stuck: false,
  }
}

/** A contact says yes or no, whatever is wrong with it. */
function disturbed({ disturb }: Probe, value: number | boolean, atMs: number): number | boolean {
  return typeof value === 'number' ? disturb(value, atMs) : disturb(value ? 1 : 0, atMs) !== 0
}

function readerOf(sensor: SensorPlan, parts: ProbeParts): Probe['read'] {
  const { plan, chance, incidents } = parts
  const id = sensor.subjectId
  const noise = chance.stream(`probe/${sensor.id}`)
  const offset = 2 * noise.at(-1) - 1
  switch (sensor.quantity) {
    case 'humidity':
      return ({ rooms, atMs }) => {
        const error = offset * HUMIDITY_OFFSET_PCT + noise.normalAt(atMs) * HUMIDITY_NOISE_PCT
        return Math.min(100, Math.max(0, rounded((rooms.get(id)?.humidityPct ?? NaN) + error, 100)))
      }
    case 'temperature':
      return ({ rooms, atMs }) => {
        const error = offset * TEMPERATURE_OFFSET_C + noise.normalAt(atMs) * TEMPERATURE_NOISE_C
        return rounded((rooms.get(id)?.temperatureC ?? NaN) + error, 100)
      }
    case 'power':
      return ({ machines }) => rounded(machines.get(id)?.powerW ?? NaN, 10)
    case 'powered':
      if (id === plan.settings.site.id) return ({ atMs }) => !incidents.at('mainsFailure', id, atMs)
      return ({ machines }) => machines.get(id)?.state !== 'off'
    case 'mass':
      return massReader(id, parts)
  }
}

const DAY = 86_400_000

function massReader(bottleId: string, { plan, chance, incidents }: ProbeParts): Probe['read'] {
  const bottle = plan.bottles.find((b) => b.id === bottleId)
  if (!bottle) throw new RangeError(`a mass sensor is bound to ${bottleId}, which is no bottle of the plan`)
  const cell: LoadCell = createLoadCell(bottle, chance)
  const machines = plan.machines.filter((m) => m.bottleId === bottleId)
  return (now, open) => {
    const there = now.bottles.get(bottleId)
    const { atMs } = now
    const standsKg = !there || there.lifted ? 0 : there.contentsKg + bottle.tareKg + there.extraTareKg
    const massKg = standsKg + (incidents.at('onScale', bottleId, atMs)?.value ?? 0)
    const swingK = incidents.at('scaleSwing', bottleId, atMs)?.value ?? 0
    const sunK = swingK === 0 ? 0 : (swingK / 2) * Math.sin((2 * Math.PI * (atMs % DAY)) / DAY)
    const temperatureC = (now.rooms.get(bottle.roomId)?.temperatureC ?? NaN) + sunK
    const printing = machines.some((m) => now.machines.get(m.id)?.state === 'printing')
    return rounded(cell.readKg({ atMs, massKg, temperatureC, printing, open }), 10_000)
  }
}

function rounded(value: number, perUnit: number): number {
  return Math.round(value * perUnit) / perUnit
}
