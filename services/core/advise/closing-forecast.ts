import { machineNight, type MachineNight } from '../forecast/machine-night.ts'
import { clockText } from '../model/clock-text.ts'
import type { Room } from '../model/settings.ts'
import { airNow } from './closing-evidence.ts'
import type { ClosingMaterial } from './closing-material.ts'
import { inkViews } from './ink-view.ts'
import { nightView } from './machine-now.ts'
import { latestKey, roomView, type LatestValues } from './room-view.ts'

const HOUR_MS = 3_600_000

/** The coming night in sentences: the air of each room, the water to add, and the ink of each machine. */
export function closingForecast(material: ClosingMaterial): string[] {
  const { settings } = material
  const nights = new Map(
    settings.machines.map((m) => {
      const known = material.machines.get(m.id)
      return [m.id, known ? machineNight(known.facts, known.context, material.nowMs) : null] as const
    }),
  )
  const rooms = settings.rooms.filter((r) => !r.outdoors && settings.machines.some((m) => m.room === r.id))
  const latest = latestOf(material)
  return [
    ...rooms.flatMap((room) => {
      const first = settings.machines.find((m) => m.room === room.id)
      const isMeasured = airNow(room.id, material).humidityPct !== null
      const night = isMeasured ? ((first && nights.get(first.id)) ?? null) : null
      return [airSentence(room, night, material), ...waterSentence(room, { night, latest, material })]
    }),
    ...settings.machines.flatMap((m) => inkSentence(m.id, nights.get(m.id) ?? null, material)),
  ]
}

function airSentence({ title }: Room, night: MachineNight | null, material: ClosingMaterial): string {
  if (!night) return `${title}: nobody can tell the night, since its air is not measured now.`
  const { humidityPct, basis, days } = nightView(night)
  const lowest = humidityPct.reduce((low, point) => (point[2] < low[2] ? point : low))
  if (basis === 'persistence')
    return `${title}: too few days measured to tell the night (${days} of 7); now it is ${Math.round(lowest[2])} %RH.`
  return `${title}: the air is likely to be at its driest about ${timeText(lowest[0], material)}, near ${Math.round(lowest[2])} %RH (between ${Math.round(lowest[1])} and ${Math.round(lowest[3])}).`
}

/** Water that lifts the air to its target once, and holds it there until opening. */
function waterSentence(
  room: Room,
  {
    night,
    latest,
    material,
  }: { night: MachineNight | null; latest: LatestValues; material: ClosingMaterial },
): string[] {
  const { waterToLiftKg, waterToHoldKgPerH } = roomView(room, material.settings.rooms, latest)
  if (waterToLiftKg === null) return []
  const lift = Math.max(0, waterToLiftKg)
  if (waterToHoldKgPerH === null || !night)
    return [
      `${room.title}: about ${litres(lift)} L of water bring it to ${room.targetPct} %RH once; how much holds it there is not known without the air outside.`,
    ]
  const hours = (night.toMs - material.nowMs) / HOUR_MS
  const all = lift + Math.max(0, waterToHoldKgPerH) * hours
  return [
    all < 0.05
      ? `${room.title}: no water is needed to hold ${room.targetPct} %RH.`
      : `${room.title}: about ${litres(all)} L of water hold ${room.targetPct} %RH until ${timeText(night.toMs, material)}.`,
  ]
}

/** A kilogram of water is a litre. */
function litres(kg: number): string {
  return (Math.ceil(kg * 10) / 10).toFixed(1)
}

function inkSentence(machineId: string, night: MachineNight | null, material: ClosingMaterial): string[] {
  const known = material.machines.get(machineId)
  const title = material.settings.machines.find((m) => m.id === machineId)?.title ?? machineId
  if (!known || !night) return []
  const inks = inkViews(known.facts, known.context, { nowMs: material.nowMs, night })
  if (inks.length === 0) return []
  const unknown = inks.filter((i) => i.basis === 'unknown')
  if (unknown.length > 0)
    return [
      `${title}: nobody saw when ${unknown.map((i) => i.title).join(' and ')} ${unknown.length > 1 ? 'were' : 'was'} last wetted.`,
    ]
  const reach = (i: (typeof inks)[number]): number => i.ahead.at(-1)?.[2] ?? i.usedPct
  const furthest = inks.reduce((a, b) => (reach(b) > reach(a) ? b : a))
  const passes = furthest.passesLimit?.likelyMs
  return [
    passes == null
      ? `${title}: ${furthest.title} will have used about ${Math.round(reach(furthest))} % of its drying limit at opening.`
      : `${title}: ${furthest.title} is likely to pass its drying limit about ${timeText(passes, material)}.`,
  ]
}

function latestOf(material: ClosingMaterial): LatestValues {
  const values = new Map<string, number>()
  for (const { id } of material.settings.rooms) {
    const { humidityPct, temperatureC } = airNow(id, material)
    if (humidityPct !== null) values.set(latestKey(`room:${id}`, 'humidity'), humidityPct)
    if (temperatureC !== null) values.set(latestKey(`room:${id}`, 'temperature'), temperatureC)
  }
  return values
}

function timeText(atMs: number, { settings, nowMs }: ClosingMaterial): string {
  return clockText(atMs, { timeZone: settings.site.timeZone, nowMs })
}
