import type { OpeningCalendar, Span } from '../../services/core/model/opening-hours.ts'
import { vapourPressureDeficitKpa } from '../../services/core/physics/air.ts'
import { createBottle, type SimulatedBottle } from './bottle.ts'
import type { Chance } from './chance.ts'
import { createHeadDryness, missingNozzles, stepHeadDryness, type HeadDryness } from './head-drying.ts'
import type { Incidents } from './incident.ts'
import {
  createMachine,
  NO_TROUBLE,
  type MachineStep,
  type MachineTrouble,
  type SimulatedMachine,
} from './machine.ts'
import { createRoomAir, roomHumidityPct, stepRoomAir, type RoomAir } from './room-air.ts'
import type { BottleNow, MachineNow, RoomNow, ShopNow } from './shop-now.ts'
import type { BottlePlan, MachinePlan, RoomPlan, ShopPlan } from './plan-kinds.ts'
import type { Truth } from './truth.ts'
import { createWeather } from './weather.ts'

interface Around {
  readonly open: boolean
  readonly mains: boolean
}

export interface ShopParts {
  readonly step: (span: Span, around: Around) => void
  readonly look: (atMs: number) => ShopNow
  readonly refill: (roomId: string) => void
}

interface Room {
  readonly plan: RoomPlan
  readonly air: RoomAir
  now: RoomNow
}
interface Machine {
  readonly plan: MachinePlan
  readonly machine: SimulatedMachine
  readonly head: HeadDryness
  last: MachineStep
}
interface Bottle {
  readonly plan: BottlePlan
  readonly bottle: SimulatedBottle
}

const RESTING: MachineStep = {
  state: 'standby',
  powerW: 0,
  capped: true,
  wasteMl: 0,
  printingShare: 0,
  cleaned: false,
}
/** Somebody fills a tank that is found this empty; on a calm day sooner. */
const REFILLED_BELOW = 0.15
const REFILLED_WHEN_CALM_BELOW = 0.6

/** Weather, rooms, machines and bottles, each stepped with what the others gave it. */
export function createShopParts(options: {
  readonly plan: ShopPlan
  readonly chance: Chance
  readonly calendar: OpeningCalendar
  readonly incidents: Incidents
  readonly startMs: number
}): ShopParts {
  const { plan, chance, calendar, incidents, startMs } = options
  const weather = createWeather(chance)
  const site = plan.settings.site.id
  const rooms = new Map(plan.rooms.map((p) => [p.id, startRoom(p)]))
  const machines: Machine[] = plan.machines.map((p) => ({
    plan: p,
    machine: createMachine(p, chance, calendar, startMs),
    head: createHeadDryness(),
    last: RESTING,
  }))
  const bottles: Bottle[] = plan.bottles.map((p) => ({ plan: p, bottle: createBottle(p, chance, incidents) }))
  let outdoor = weather.at(startMs)

  const refill = (roomId: string): void => {
    const room = rooms.get(roomId)
    if (room?.plan.tankKg) room.air.tankKg = room.plan.tankKg
  }
  const tend = ({ plan: { id, tankKg }, air }: Room, atMs: number, open: boolean): void => {
    if (tankKg === null || incidents.at('dryAir', id, atMs)) return
    const calm = incidents.at('calm', site, atMs) !== undefined
    if (calm ? air.tankKg < tankKg * REFILLED_WHEN_CALM_BELOW : open && air.tankKg < tankKg * REFILLED_BELOW)
      refill(id)
  }
  const stepRoom = (room: Room, { fromMs, toMs }: Span, { open, mains }: Around): void => {
    tend(room, toMs, open)
    const machinesW = machines.reduce(
      (sum, m) => sum + (m.plan.roomId === room.plan.id ? m.last.powerW : 0),
      0,
    )
    const driedToPct = incidents.at('dryAir', room.plan.id, toMs)?.value ?? null
    const dampenedToPct = incidents.at('dampAir', room.plan.id, toMs)?.value ?? null
    const heldAtC = incidents.at('airHeldAt', room.plan.id, toMs)?.value ?? null
    const around = { outdoor, open, mains, machinesW, driedToPct, dampenedToPct, heldAtC }
    stepRoomAir(room.plan, room.air, around, toMs - fromMs)
    room.now = lookAtRoom(room.air)
  }
  const deficitKpa = (roomId: string): number => rooms.get(roomId)?.now.vapourPressureDeficitKpa ?? 0
  const stepMachine = (m: Machine, span: Span, mains: boolean): void => {
    const powered = mains && !incidents.at('powerCut', m.plan.id, span.toMs)
    m.last = m.machine.step(span, powered, troubleAt(m.plan.id, span.toMs, incidents))
    const hours = (span.toMs - span.fromMs) / 3_600_000
    stepHeadDryness(m.head, { hours, vapourPressureDeficitKpa: deficitKpa(m.plan.roomId), ...m.last })
  }
  /** A cut that is over before the step ends is lived through by itself. */
  const stepThroughCuts = (m: Machine, span: Span, mains: boolean): void => {
    let { fromMs } = span
    for (const cut of incidents.begunWithin('powerCut', m.plan.id, span)) {
      if (cut.toMs >= span.toMs || cut.fromMs <= fromMs) continue
      m.machine.step({ fromMs, toMs: cut.fromMs }, false, troubleAt(m.plan.id, cut.fromMs, incidents))
      fromMs = cut.fromMs
    }
    stepMachine(m, { fromMs, toMs: span.toMs }, mains)
  }

  return {
    step: (span, around) => {
      outdoor = weather.at(span.toMs)
      for (const m of machines) stepThroughCuts(m, span, around.mains)
      for (const room of rooms.values()) stepRoom(room, span, around)
      for (const { plan: p, bottle } of bottles) {
        const arrives = (m: Machine): boolean =>
          m.plan.bottleId === p.id && !incidents.at('lineBlocked', m.plan.id, span.toMs)
        const wasteMl = machines.reduce((sum, m) => sum + (arrives(m) ? m.last.wasteMl : 0), 0)
        bottle.step(span, { wasteMl, open: around.open, vapourPressureDeficitKpa: deficitKpa(p.roomId) })
      }
    },
    look: (atMs) => ({
      atMs,
      outdoor,
      rooms: new Map([...rooms.values()].map((r) => [r.plan.id, r.now])),
      machines: new Map(machines.map((m) => [m.plan.id, lookAtMachine(m)])),
      bottles: new Map(bottles.map((b) => [b.plan.id, lookAtBottle(b)])),
    }),
    refill,
  }
}

/** Says to the truth what holds now. */
export function noteTruth(
  truth: Truth,
  plan: ShopPlan,
  now: ShopNow,
  around: { mains: boolean; opening: boolean },
): void {
  const { atMs } = now
  truth.note('mainsFailed', plan.settings.site.id, !around.mains, atMs)
  for (const [id, room] of now.rooms) {
    truth.note('roomDry', id, room.humidityPct < 40, atMs)
    truth.note('humidifierEmpty', id, room.tankKg <= 0, atMs)
  }
  for (const [id, machine] of now.machines) {
    truth.note('printing', id, machine.state === 'printing', atMs)
    truth.note('cleaning', id, machine.state === 'cleaning', atMs)
    truth.note('machineOff', id, machine.state === 'off', atMs)
    truth.note('headUncapped', id, machine.state === 'off' && !machine.capped, atMs)
    const missing = machine.missingNozzles
    if (around.opening && missing > 0)
      truth.noteOnce({ kind: 'nozzlesLost', subjectId: id, fromMs: atMs, toMs: atMs, value: missing })
  }
  for (const [id, bottle] of now.bottles) {
    truth.note('bottleLifted', id, bottle.lifted, atMs)
    truth.note('bottleAbove80', id, bottle.fillPct > 80, atMs)
  }
}

function troubleAt(machineId: string, atMs: number, incidents: Incidents): MachineTrouble {
  if (incidents.sparesAllDay(machineId, atMs)) return NO_TROUBLE
  const error = incidents.at('errorStop', machineId, atMs)
  const brownout = incidents.at('brownout', machineId, atMs)
  const headLeftOff = incidents.at('headLeftOff', machineId, atMs) !== undefined
  const cleaningOff = incidents.at('cleaningOff', machineId, atMs) !== undefined
  const idle = incidents.at('idle', machineId, atMs) !== undefined
  if (!error && !brownout && !headLeftOff && !cleaningOff && !idle) return NO_TROUBLE
  return { headLeftOff, cleaningOff, errorW: error?.value ?? null, idle, powerShare: brownout?.value ?? 1 }
}

function startRoom(plan: RoomPlan): Room {
  const air = createRoomAir(plan)
  return { plan, air, now: lookAtRoom(air) }
}

function lookAtRoom(air: RoomAir): RoomNow {
  const { temperatureC, tankKg } = air
  const humidityPct = roomHumidityPct(air)
  return {
    temperatureC,
    humidityPct,
    tankKg,
    vapourPressureDeficitKpa: vapourPressureDeficitKpa({ temperatureC, humidityPct }),
  }
}

function lookAtMachine({ plan, head, last }: Machine): MachineNow {
  const { state, powerW, capped } = last
  // Colour and white share the nozzles evenly.
  const missing = missingNozzles(head.colour, plan.nozzles / 2) + missingNozzles(head.white, plan.nozzles / 2)
  return { state, powerW, capped, missingNozzles: missing, wetted: last.cleaned || last.printingShare > 0 }
}

function lookAtBottle({ bottle }: Bottle): BottleNow {
  return {
    contentsKg: bottle.contentsKg(),
    fillPct: bottle.fillPct(),
    lifted: bottle.lifted(),
    extraTareKg: bottle.extraTareKg(),
    evaporatedKg: bottle.evaporatedKg(),
  }
}
