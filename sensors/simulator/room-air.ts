import {
  relativeHumidityPct,
  humidityRatioKgPerKg,
  STANDARD_PRESSURE_KPA,
} from '../../services/core/physics/air.ts'
import type { RoomPlan } from './plan-kinds.ts'
import type { OutdoorAir } from './weather.ts'

export interface RoomAir {
  temperatureC: number
  humidityRatioKgPerKg: number
  /** Left in the humidifier's tank; Infinity when it is plumbed. */
  tankKg: number
  humidifying: boolean
  heating: boolean
  /** What came and went since the beginning: contents must equal their sum. */
  readonly ledgerKg: {
    leaked: number
    humidified: number
    breathed: number
    dried: number
    condensed: number
  }
}

export interface RoomSurroundings {
  readonly outdoor: OutdoorAir
  readonly open: boolean
  /** Without mains nothing heats, cools, humidifies or dries. */
  readonly mains: boolean
  /** Heat that machines give off in the room. */
  readonly machinesW: number
  /** An air conditioner that runs too hard pulls the room towards this, humidifier empty; null: all is well. */
  readonly driedToPct: number | null
  /** Wet air from outside or a broken pipe drives the room towards this. */
  readonly dampenedToPct?: number | null
  /** A heater that fails or runs on takes the room to this. */
  readonly heldAtC?: number | null
}

const DRY_AIR_KG_PER_M3 = 1.2
/** Starting values: heat and vapour of a person at light work, and what the air conditioner keeps to. */
const PERSON_W = 90
const PERSON_KG_PER_H = 0.06
const COOLED_ABOVE_C = 25
const DRIED_ABOVE_PCT = 57
const COOLER_W_PER_K = 1500
const HEATER_ON_BELOW_K = 0.3
const HEATER_OFF_ABOVE_K = 0.1
const HUMIDIFIER_ON_BELOW_PCT = 1.8
const HUMIDIFIER_OFF_ABOVE_PCT = 1.4
/** A runaway air conditioner dries a room within minutes: air changes of its coil per hour. */
const RUNAWAY_PER_H = 11
const STEADY_PER_H = 2
/** How fast wet air, and a heater that fails or runs on, take a room with them, an hour. */
const DAMPENED_PER_H = 5
const HELD_PER_H = 1.2

/** Air of a room at rest: night temperature, the humidity its humidifier holds. */
export function createRoomAir(plan: RoomPlan): RoomAir {
  const air = {
    temperatureC: plan.nightC,
    humidityPct: plan.humidifierPct,
    pressureKpa: STANDARD_PRESSURE_KPA,
  }
  return {
    temperatureC: plan.nightC,
    humidityRatioKgPerKg: humidityRatioKgPerKg(air),
    tankKg: plan.tankKg ?? Infinity,
    humidifying: false,
    heating: false,
    ledgerKg: { leaked: 0, humidified: 0, breathed: 0, dried: 0, condensed: 0 },
  }
}

/** Relative humidity of the room in %RH, over water. */
export function roomHumidityPct({ temperatureC, humidityRatioKgPerKg }: RoomAir): number {
  const air = { temperatureC, humidityRatioKgPerKg, pressureKpa: STANDARD_PRESSURE_KPA }
  return Math.min(100, relativeHumidityPct(air))
}

/** Water vapour in the room, in kg. */
export function roomVapourKg(plan: RoomPlan, room: RoomAir): number {
  return room.humidityRatioKgPerKg * airKg(plan)
}

/** One step of heat, then of water. Steps up to five minutes stay true: the water is solved exactly within a step. */
export function stepRoomAir(plan: RoomPlan, room: RoomAir, around: RoomSurroundings, stepMs: number): void {
  const hours = stepMs / 3_600_000
  const { heldAtC = null, dampenedToPct = null } = around
  if (heldAtC === null) stepHeat(plan, room, around, stepMs / 1000)
  else room.temperatureC += (heldAtC - room.temperatureC) * -Math.expm1(-HELD_PER_H * hours)
  stepWater(plan, room, around, hours)
  if (dampenedToPct !== null) dampen(plan, room, dampenedToPct, hours)
}

function dampen(plan: RoomPlan, room: RoomAir, humidityPct: number, hours: number): void {
  const { temperatureC } = room
  const ratio = humidityRatioKgPerKg({ temperatureC, humidityPct, pressureKpa: STANDARD_PRESSURE_KPA })
  if (ratio <= room.humidityRatioKgPerKg) return
  const gained = (ratio - room.humidityRatioKgPerKg) * -Math.expm1(-DAMPENED_PER_H * hours)
  room.humidityRatioKgPerKg += gained
  room.ledgerKg.leaked += gained * airKg(plan)
}

/** The heater is switched by a thermostat with a band, so the room swings a little around what is wanted. */
function stepHeat(plan: RoomPlan, room: RoomAir, around: RoomSurroundings, seconds: number): void {
  const aboveWantedK = room.temperatureC - (around.open ? plan.dayC : plan.nightC)
  if (aboveWantedK < -HEATER_ON_BELOW_K) room.heating = true
  if (aboveWantedK > HEATER_OFF_ABOVE_K) room.heating = false
  const leakW = (around.outdoor.temperatureC - room.temperatureC) * plan.heatLossWPerK
  const freeW = leakW + around.machinesW + (around.open ? plan.people * PERSON_W : 0)
  const coolerW = Math.min(plan.heaterW, Math.max(0, (room.temperatureC - COOLED_ABOVE_C) * COOLER_W_PER_K))
  const plantW = around.mains ? (room.heating ? plan.heaterW : 0) - coolerW : 0
  room.temperatureC += ((freeW + plantW) * seconds) / plan.heatCapacityJPerK
}

function stepWater(plan: RoomPlan, room: RoomAir, around: RoomSurroundings, hours: number): void {
  const dryAirKg = airKg(plan)
  const humidifierKgPerH =
    around.mains && around.driedToPct === null && plan.humidifierKgPerH > 0 ? humidify(plan, room, hours) : 0
  const breathKgPerH = around.open ? plan.people * PERSON_KG_PER_H : 0
  const flow: Flow = {
    dryAirKg,
    leakPerH: around.open ? plan.openAirChangesPerH : plan.closedAirChangesPerH,
    leakRatio: around.outdoor.humidityRatioKgPerKg,
    addedPerH: (humidifierKgPerH + breathKgPerH) / dryAirKg,
  }
  const drier = drierOf(room, around)
  const dryingHours = drier.perH === 0 ? 0 : Math.min(hours, hoursUntil(drier.ratio, room, flow, drier))
  if (dryingHours > 0) exchange(room, flow, drier, dryingHours)
  if (dryingHours < hours) exchange(room, flow, { perH: 0, ratio: 0 }, hours - dryingHours)

  room.ledgerKg.humidified += humidifierKgPerH * hours
  room.ledgerKg.breathed += breathKgPerH * hours
  room.tankKg -= humidifierKgPerH * hours
  condense(room, dryAirKg)
}

interface Flow {
  readonly dryAirKg: number
  readonly leakPerH: number
  readonly leakRatio: number
  readonly addedPerH: number
}
/** A coil that pulls the room's air towards a humidity ratio. */
interface Drier {
  readonly perH: number
  readonly ratio: number
}

/** dW/dt = sources - rate (W - pull), solved exactly for sources and rates that hold still meanwhile. */
function exchange(room: RoomAir, flow: Flow, drier: Drier, hours: number): void {
  const { dryAirKg, leakPerH, leakRatio } = flow
  const { ratePerH, restRatio } = restOf(flow, drier)
  const before = room.humidityRatioKgPerKg
  const after = restRatio + (before - restRatio) * Math.exp(-ratePerH * hours)
  const ratioHours = restRatio * hours + (before - after) / ratePerH
  room.ledgerKg.leaked += leakPerH * (leakRatio * hours - ratioHours) * dryAirKg
  room.ledgerKg.dried += drier.perH * (ratioHours - drier.ratio * hours) * dryAirKg
  room.humidityRatioKgPerKg = after
}

/** Where the room would come to rest, and how fast it goes there. */
function restOf(
  { leakPerH, leakRatio, addedPerH }: Flow,
  drier: Drier,
): { ratePerH: number; restRatio: number } {
  const ratePerH = leakPerH + drier.perH
  return { ratePerH, restRatio: (leakPerH * leakRatio + drier.perH * drier.ratio + addedPerH) / ratePerH }
}

/** When the air has come down to `ratio`, from where drier outdoor air takes it on alone: a coil adds no water. */
function hoursUntil(ratio: number, room: RoomAir, flow: Flow, drier: Drier): number {
  const { ratePerH, restRatio } = restOf(flow, drier)
  if (restRatio >= ratio) return Infinity
  return Math.log((room.humidityRatioKgPerKg - restRatio) / (ratio - restRatio)) / ratePerH
}

function drierOf(room: RoomAir, { driedToPct, dampenedToPct = null, mains }: RoomSurroundings): Drier {
  const { temperatureC } = room
  const humidityPct = driedToPct ?? DRIED_ABOVE_PCT
  const ratio = humidityRatioKgPerKg({ temperatureC, humidityPct, pressureKpa: STANDARD_PRESSURE_KPA })
  if (!mains || dampenedToPct !== null || ratio >= room.humidityRatioKgPerKg) return { perH: 0, ratio }
  return { perH: driedToPct === null ? STEADY_PER_H : RUNAWAY_PER_H, ratio }
}

/** What the humidifier gives now, in kg/h. Its humidistat switches with a band; an empty tank gives nothing. */
function humidify(plan: RoomPlan, room: RoomAir, hours: number): number {
  const aboveTargetPct = roomHumidityPct(room) - plan.humidifierPct
  if (aboveTargetPct < -HUMIDIFIER_ON_BELOW_PCT) room.humidifying = true
  if (aboveTargetPct > HUMIDIFIER_OFF_ABOVE_PCT) room.humidifying = false
  return room.humidifying ? Math.min(plan.humidifierKgPerH, room.tankKg / hours) : 0
}

function condense(room: RoomAir, dryAirKg: number): void {
  const { temperatureC } = room
  const most = humidityRatioKgPerKg({ temperatureC, humidityPct: 100, pressureKpa: STANDARD_PRESSURE_KPA })
  const excess = room.humidityRatioKgPerKg - most
  if (excess <= 0) return
  room.ledgerKg.condensed += excess * dryAirKg
  room.humidityRatioKgPerKg = most
}

function airKg(plan: RoomPlan): number {
  return plan.volumeM3 * DRY_AIR_KG_PER_M3
}
