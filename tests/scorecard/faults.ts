import type { Incident } from '../../sensors/simulator/incident.ts'
import type { ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { Level } from './span-recorder.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
/** A sensor that was wrong is believed again after as long as it was wrong, within these bounds, and a little. */
const TRUSTED_AFTER = [30 * MINUTE, 24 * HOUR] as const
const A_LITTLE = 30 * MINUTE
const HEARD_AGAIN_AFTER = 5 * MINUTE
const BLIND: readonly Incident['kind'][] = ['sensorSilent', 'sensorSpikes', 'sensorAtRail']
const LYING: readonly Incident['kind'][] = ['sensorDrifts', 'sensorStuck']

interface Fault {
  readonly fromMs: number
  readonly toMs: number
  /** A lying sensor tells what nobody can know to be wrong. */
  readonly lies: boolean
}

/** What a sensor could know at an instant. */
export interface Faults {
  /** Is any of these sensors silent or disbelieved, or was it a moment ago? */
  readonly blind: (sensorIds: readonly string[], atMs: number) => boolean
  readonly lying: (sensorIds: readonly string[], atMs: number) => boolean
  /** A level as these sensors could know it: blind ones prove nothing, lying ones excuse anything. */
  readonly seen: (level: Level, sensorIds: readonly string[], atMs: number) => Level
}

export function createFaults(plan: ShopPlan, incidents: readonly Incident[]): Faults {
  const bySensor = new Map<string, Fault[]>()
  for (const { id, nodeId, onBattery } of plan.sensors) {
    const own = incidents.flatMap((i): Fault[] => {
      if (i.subjectId === id && (BLIND.includes(i.kind) || LYING.includes(i.kind))) {
        const silent = i.kind === 'sensorSilent'
        const afterMs = silent ? HEARD_AGAIN_AFTER : A_LITTLE + clamp(i.toMs - i.fromMs, TRUSTED_AFTER)
        return [{ fromMs: i.fromMs, toMs: i.toMs + afterMs, lies: LYING.includes(i.kind) }]
      }
      const dark = i.kind === 'nodeDark' ? i.subjectId === nodeId : i.kind === 'mainsFailure' && !onBattery
      return dark ? [{ fromMs: i.fromMs, toMs: i.toMs + HEARD_AGAIN_AFTER, lies: false }] : []
    })
    bySensor.set(id, own)
  }
  const any = (sensorIds: readonly string[], atMs: number, lies: boolean): boolean => {
    for (const id of sensorIds) {
      for (const f of bySensor.get(id) ?? []) {
        if (f.lies === lies && atMs >= f.fromMs && atMs < f.toMs) return true
      }
    }
    return false
  }
  return {
    blind: (ids, atMs) => any(ids, atMs, false),
    lying: (ids, atMs) => any(ids, atMs, true),
    seen: (level, ids, atMs) => {
      if (any(ids, atMs, true)) return 1
      return level === 2 && any(ids, atMs, false) ? 1 : level
    },
  }
}

function clamp(value: number, [least, most]: readonly [number, number]): number {
  return Math.min(most, Math.max(least, value))
}
