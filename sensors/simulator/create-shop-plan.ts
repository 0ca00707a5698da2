import { createChance } from './chance.ts'
import { createDraw, type Draw } from './draw.ts'
import type { BottlePlan, MachinePlan, RoomPlan, SensorPlan, ShopPlan } from './plan-kinds.ts'
import type { ShopRanges } from './plan-ranges.ts'
import { settingsOf, SITE, type WatchedMachine } from './plan-settings.ts'

/**
 * A random shop: the same seed and ranges give the same shop. Machines that have a contact alone tell nobody when they
 * clean, and their self-cleaning is unknown.
 *
 * @throws {RangeError} if `seed` is no whole number from 0 to 2^32 - 1.
 */
export function createShopPlan(seed: number, ranges: ShopRanges): ShopPlan {
  const draw = createDraw(createChance(seed), 'plan')
  const rooms = Array.from({ length: draw.wholeWithin(ranges.rooms) }, (_, i) => drawRoom(i, draw, ranges))
  const count = draw.wholeWithin(ranges.machines)
  const bottles: BottlePlan[] = []
  const watched: WatchedMachine[] = []
  for (let i = 0; i < count; i++) {
    const room = draw.pick(rooms)
    const before = bottles.at(-1)
    const shares = before?.roomId === room.id && draw.happens(ranges.sharedBottle)
    const bottle = shares ? before : drawBottle(bottles.length, room.id, draw, ranges)
    if (!shares) bottles.push(bottle)
    watched.push(drawWatched(drawMachine(i, room.id, bottle.id, draw, ranges), draw, ranges))
  }
  const sensors = [
    ...rooms.flatMap((r) => airSensors(r, draw, ranges)),
    ...watched.flatMap(powerSensors),
    ...bottles.map((b): SensorPlan => {
      return { ...sensorOf(`${b.id}-node`, 'scale', 'mass', b.id), everyMs: draw.pick(ranges.everyMs) }
    }),
    ...(draw.happens(ranges.mainsContact) ? [mainsContact()] : []),
  ]
  const settings = settingsOf({ rooms, watched, bottles, sensors }, draw, ranges)
  return { settings, rooms, machines: watched.map((w) => w.machine), bottles, sensors }
}

function drawRoom(i: number, draw: Draw, ranges: ShopRanges): RoomPlan {
  const volumeM3 = draw.within(ranges.volumeM3)
  const closedAirChangesPerH = draw.within(ranges.airChangesPerH)
  const dayC = draw.within(ranges.dayC)
  return {
    id: `room-${i + 1}`,
    volumeM3,
    closedAirChangesPerH,
    openAirChangesPerH: closedAirChangesPerH * 2,
    people: draw.wholeWithin([1, 3]),
    heatLossWPerK: volumeM3 * draw.within([0.8, 1.2]),
    heatCapacityJPerK: volumeM3 * draw.within([18_000, 26_000]),
    heaterW: volumeM3 * 50,
    dayC,
    nightC: dayC - draw.within(ranges.nightCoolerK),
    humidifierPct: draw.within(ranges.humidifierPct),
    // Enough for the driest winter air: what leaks, at 8 g/kg below the room's, and half as much again.
    humidifierKgPerH: draw.happens(ranges.noHumidifier)
      ? 0
      : volumeM3 * 1.2 * closedAirChangesPerH * 2 * 0.012,
    tankKg: null,
  }
}

function drawBottle(i: number, roomId: string, draw: Draw, ranges: ShopRanges): BottlePlan {
  const capacityMl = Math.round(draw.logWithin(ranges.capacityMl) / 100) * 100
  const tareKg = Math.round(capacityMl * draw.within([0.07, 0.1])) / 1000
  return {
    id: `bottle-${i + 1}`,
    roomId,
    capacityMl,
    tareKg,
    densityKgPerL: 1.05,
    cellKg: capacityMl > 2500 ? 10 : 5,
  }
}

function drawMachine(
  i: number,
  roomId: string,
  bottleId: string,
  draw: Draw,
  ranges: ShopRanges,
): MachinePlan {
  const standbyW = draw.logWithin(ranges.standbyW)
  const cleaningW = standbyW * draw.within(ranges.cleaningTimes)
  return {
    id: `machine-${i + 1}`,
    roomId,
    bottleId,
    cleaningEveryH: Math.round(draw.within(ranges.cleaningEveryH) * 2) / 2,
    cleaningMl: draw.within(ranges.cleaningMl),
    cleaningMs: Math.round(draw.within(ranges.cleaningMin) * 60_000),
    printingMlPerH: draw.within(ranges.printingMlPerH),
    pauseMin: draw.within(ranges.pauseMin),
    standbyW,
    cleaningW,
    printingW: cleaningW * draw.within(ranges.printingTimes),
    heaterW: draw.happens(ranges.heater) ? draw.within(ranges.heaterW) : 0,
    nozzles: 1080,
  }
}

function drawWatched(machine: MachinePlan, draw: Draw, ranges: ShopRanges): WatchedMachine {
  const contactOnly = draw.happens(ranges.contactOnly)
  return {
    machine,
    meter: !contactOnly,
    contact: draw.happens(ranges.contactToo) || contactOnly,
    everyMs: draw.pick(ranges.everyMs),
    bandsTold: draw.happens(ranges.bandsTold) && !contactOnly,
    cleaningTold: draw.happens(ranges.cleaningTold) && !contactOnly,
  }
}

function sensorOf(
  nodeId: string,
  channel: string,
  quantity: SensorPlan['quantity'],
  subjectId: string,
): Omit<SensorPlan, 'everyMs'> {
  return { id: `${nodeId}/${channel}`, nodeId, quantity, subjectId }
}

function airSensors({ id }: RoomPlan, draw: Draw, ranges: ShopRanges): SensorPlan[] {
  const everyMs = draw.pick(ranges.everyMs)
  const probe = (nodeId: string): SensorPlan[] => [
    { ...sensorOf(nodeId, 'humidity', 'humidity', id), everyMs },
    { ...sensorOf(nodeId, 'temperature', 'temperature', id), everyMs },
  ]
  return [...probe(`${id}-air`), ...(draw.happens(ranges.secondProbe) ? probe(`${id}-air-2`) : [])]
}

function powerSensors({ machine: { id }, meter, contact, everyMs }: WatchedMachine): SensorPlan[] {
  return [
    ...(meter ? [{ ...sensorOf(`${id}-node`, 'power', 'power', id), everyMs }] : []),
    ...(contact ? [{ ...sensorOf(`${id}-node`, 'contact', 'powered', id), everyMs }] : []),
  ]
}

function mainsContact(): SensorPlan {
  return { ...sensorOf('monitor', 'mains', 'powered', SITE), everyMs: 60_000, onBattery: true }
}
