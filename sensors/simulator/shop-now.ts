import type { MachineState } from './machine.ts'
import type { OutdoorAir } from './weather.ts'

/** The true state of the simulated shop at an instant, before any sensor. */
export interface ShopNow {
  readonly atMs: number
  readonly outdoor: OutdoorAir
  readonly rooms: ReadonlyMap<string, RoomNow>
  readonly machines: ReadonlyMap<string, MachineNow>
  readonly bottles: ReadonlyMap<string, BottleNow>
}

export interface RoomNow {
  readonly temperatureC: number
  readonly humidityPct: number
  readonly vapourPressureDeficitKpa: number
  readonly tankKg: number
}

export interface MachineNow {
  readonly state: MachineState
  readonly powerW: number
  readonly capped: boolean
  readonly missingNozzles: number
  /** A print or a cleaning wetted the nozzles since the look before. */
  readonly wetted: boolean
}

export interface BottleNow {
  readonly contentsKg: number
  readonly fillPct: number
  readonly lifted: boolean
  readonly extraTareKg: number
  readonly evaporatedKg: number
}
