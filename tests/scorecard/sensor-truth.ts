import type { Incident } from '../../sensors/simulator/incident.ts'
import type { SensorPlan, ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { Condition } from '../../services/core/model/episode.ts'
import type { TrustLimits } from '../../services/core/model/trust-limits.ts'
import type { TrueSpan } from './match-episodes.ts'
import type { ConditionTruth } from './span-recorder.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const SLACK = 20 * MINUTE
/** How long a sensor that was wrong may still be called wrong. */
const REMEMBERED = 25 * HOUR
const GRACE = 5_000

/** What truly befell the sensors, from what was told of them. */
export function sensorTruth(plan: ShopPlan, incidents: readonly Incident[]): readonly ConditionTruth[] {
  const truth = new Map<Condition, TrueSpan[]>()
  const add = (condition: Condition, sensorId: string, span: Omit<TrueSpan, 'subject'>): void => {
    truth.set(condition, [...(truth.get(condition) ?? []), { subject: `sensor:${sensorId}`, ...span }])
  }
  for (const sensor of plan.sensors) {
    for (const incident of incidents) {
      const dark =
        (incident.kind === 'nodeDark' && incident.subjectId === sensor.nodeId) ||
        (incident.kind === 'mainsFailure' && !sensor.onBattery)
      if (dark || (incident.kind === 'sensorSilent' && incident.subjectId === sensor.id)) {
        for (const span of silence(sensor, incident, plan)) add('sensorSilent', sensor.id, span)
      }
      if (incident.subjectId === sensor.id) addBroken(sensor, incident, plan, add)
    }
  }
  return [...truth].map(([condition, spans]) => ({ condition, spans }))
}

function spans(fromMs: number, toMs: number, dueMs: number, sure: boolean): Omit<TrueSpan, 'subject'>[] {
  const grey = { fromMs, toMs: toMs + REMEMBERED, dueMs: fromMs, sure: false }
  return sure ? [grey, { fromMs, toMs, dueMs, sure }] : [grey]
}

function silence(
  { everyMs }: SensorPlan,
  { fromMs, toMs }: Incident,
  { settings: { limits } }: ShopPlan,
): Omit<TrueSpan, 'subject'>[] {
  const limitMs = Math.max(limits.silent.intervals * everyMs, limits.silent.atLeastMs)
  // The last word may have been said up to an interval before.
  const sure = toMs - fromMs > limitMs + 2 * everyMs
  const grey = { fromMs: fromMs - everyMs, toMs: toMs + everyMs + GRACE, dueMs: fromMs, sure: false }
  return sure ? [grey, { fromMs, toMs, dueMs: fromMs + limitMs + GRACE, sure }] : [grey]
}

type Add = (condition: Condition, sensorId: string, span: Omit<TrueSpan, 'subject'>) => void

function addBroken(sensor: SensorPlan, incident: Incident, plan: ShopPlan, add: Add): void {
  const { trust } = plan.settings.limits
  const { fromMs, toMs, value = 0 } = incident
  const all = (condition: Condition, list: readonly Omit<TrueSpan, 'subject'>[]): void => {
    for (const span of list) add(condition, sensor.id, span)
  }
  const { kind } = incident
  if (kind === 'sensorStuck' || kind === 'sensorAtRail') {
    const stillMs = stillLimitMs(sensor, trust)
    all('sensorStuck', spans(fromMs, toMs, fromMs + stillMs, stuckSurely(sensor, incident, stillMs)))
  }
  if (kind === 'sensorAtRail' || kind === 'sensorSpikes' || kind === 'sensorDrifts') {
    const impossible = kind === 'sensorAtRail' && sensor.quantity !== 'mass'
    const surely = impossible && toMs - fromMs > trust.bad.overMs + 6 * sensor.everyMs
    all('sensorImplausible', spans(fromMs, toMs, fromMs + trust.bad.overMs, surely))
  }
  if (kind === 'sensorSilent') return
  addApart(sensor, { fromMs, toMs, value, drifts: kind === 'sensorDrifts' }, plan, add)
}

function stuckSurely(sensor: SensorPlan, { kind, fromMs, toMs }: Incident, stillMs: number): boolean {
  return kind === 'sensorStuck' && sensor.quantity === 'humidity' && toMs - fromMs > stillMs + SLACK
}

function stillLimitMs({ quantity }: SensorPlan, trust: TrustLimits): number {
  if (quantity === 'mass') return trust.mass.stillMs
  return quantity === 'temperature' ? trust.temperature.stillMs : trust.humidity.stillMs
}

/** Of two sensors in one room either may be named; only a long drift that stays plausible is sure to be. */
function addApart(
  sensor: SensorPlan,
  { fromMs, toMs, value, drifts }: { fromMs: number; toMs: number; value: number; drifts: boolean },
  plan: ShopPlan,
  add: Add,
): void {
  const { trust } = plan.settings.limits
  const near = plan.sensors.filter((s) => s.subjectId === sensor.subjectId && s.quantity === sensor.quantity)
  if (near.length < 2) return
  for (const { id } of near) {
    for (const span of spans(fromMs, toMs, fromMs, false)) add('sensorOutOfStep', id, span)
  }
  if (!drifts) return
  const { limit, room } =
    sensor.quantity === 'humidity'
      ? { limit: trust.humidity.apartPct, room: 40 }
      : { limit: trust.temperature.apartK, room: 25 }
  const apartMs = fromMs + ((limit + 1.5) / Math.abs(value)) * DAY
  const staysPlausible = (Math.abs(value) * (toMs - fromMs)) / DAY < room
  const dueMs = apartMs + trust.apart.forMs
  if (staysPlausible && toMs > dueMs + SLACK) {
    add('sensorOutOfStep', sensor.id, { fromMs: apartMs, toMs, dueMs, sure: true })
  }
}
