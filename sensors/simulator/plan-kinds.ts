import type { Settings } from '../../services/core/model/settings.ts'

/** What the simulated shop is made of. All numbers are invented starting values for a plausible small shop. */
export interface ShopPlan {
  readonly settings: Settings
  readonly rooms: readonly RoomPlan[]
  readonly machines: readonly MachinePlan[]
  readonly bottles: readonly BottlePlan[]
  readonly sensors: readonly SensorPlan[]
}

export interface RoomPlan {
  readonly id: string
  readonly volumeM3: number
  /** Air changes with outdoors per hour, shut and with people going in and out. */
  readonly closedAirChangesPerH: number
  readonly openAirChangesPerH: number
  readonly people: number
  readonly heatLossWPerK: number
  readonly heatCapacityJPerK: number
  readonly heaterW: number
  readonly dayC: number
  readonly nightC: number
  /** The humidifier holds this; `tankKg` null means it is plumbed and never runs dry. */
  readonly humidifierPct: number
  /** 0: there is no humidifier. */
  readonly humidifierKgPerH: number
  readonly tankKg: number | null
}

export interface MachinePlan {
  readonly id: string
  readonly roomId: string
  readonly bottleId: string
  readonly cleaningEveryH: number
  readonly cleaningMl: number
  readonly printingMlPerH: number
  /** Mean pause between two jobs of a day. */
  readonly pauseMin: number
  readonly standbyW: number
  readonly printingW: number
  readonly cleaningW: number
  readonly heaterW: number
  readonly nozzles: number
  /** How long it cleans, 180 s unless told. */
  readonly cleaningMs?: number
}

export interface BottlePlan {
  readonly id: string
  readonly roomId: string
  readonly capacityMl: number
  readonly tareKg: number
  readonly densityKgPerL: number
  readonly cellKg: number
}

export interface SensorPlan {
  readonly id: string
  readonly nodeId: string
  readonly quantity: 'humidity' | 'temperature' | 'mass' | 'power' | 'powered'
  readonly subjectId: string
  /** Shortest time between two samples. */
  readonly everyMs: number
  /** Its node has a battery of its own, so that it speaks when the mains are out. */
  readonly onBattery?: boolean
}
