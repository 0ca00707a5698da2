import { durationText } from '../model/clock-text.ts'
import type { SeriesPoint } from '../model/ports/records.ts'
import type { MachineQuarter } from '../model/quarter.ts'
import type { Machine, Settings } from '../model/settings.ts'
import { fillPct } from '../physics/bottle-volume.ts'
import { nightClock, type Night } from './morning-nights.ts'

/** What was measured in the night, as the book of record has it. */
export interface MeasuredNight {
  readonly settings: Settings
  readonly night: Night
  readonly bucketMs: number
  /** By sensor id: humidity and mass. */
  readonly series: ReadonlyMap<string, readonly SeriesPoint[]>
  /** By machine id, oldest first. */
  readonly quarters: ReadonlyMap<string, readonly MachineQuarter[]>
}

/**
 * Air, inks, cleanings and bottles of a night, in sentences.
 *
 * MEASURED-1 of a room the lowest humidity with its time, and how long its mean was under the limit for dry air.
 * MEASURED-2 of each ink the most of its limit that it used; of each machine the cleanings that were seen.
 * MEASURED-3 of a bottle its fill at the first and at the last reading of the night.
 * MEASURED-4 what has a sensor that said nothing all night is told as not known; what has none is not told of.
 */
export function measuredLines(night: MeasuredNight): readonly string[] {
  const { settings } = night
  return [
    ...settings.rooms.flatMap((room) => airLine(room, night)),
    ...settings.machines.flatMap((machine) => machineLines(machine, night)),
    ...settings.bottles.flatMap((bottle) => bottleLine(bottle, night)),
  ]
}

/** How many rooms, machines and bottles that should have been measured said nothing all night. */
export function unheardIn(night: MeasuredNight): number {
  const { settings, series, quarters } = night
  const silent = (subject: string, quantity: string): boolean => {
    const sensorId = sensorOf(night, subject, quantity)
    return sensorId !== undefined && (series.get(sensorId) ?? []).length === 0
  }
  return (
    settings.rooms.filter((r) => silent(`room:${r.id}`, 'humidity')).length +
    settings.bottles.filter((b) => silent(`bottle:${b.id}`, 'mass')).length +
    settings.machines.filter((m) => (quarters.get(m.id) ?? []).length === 0).length
  )
}

function sensorOf({ settings }: MeasuredNight, subject: string, quantity: string): string | undefined {
  return settings.sensors.find(
    (s) => `${s.subject.kind}:${s.subject.id}` === subject && s.quantity === quantity,
  )?.id
}

function airLine({ id, title }: Settings['rooms'][number], night: MeasuredNight): string[] {
  const sensorId = sensorOf(night, `room:${id}`, 'humidity')
  if (sensorId === undefined) return []
  const points = night.series.get(sensorId) ?? []
  const [first] = points
  if (!first) return [`${title}: the humidity of the night is not known.`]
  const lowest = points.reduce((a, b) => (b.min < a.min ? b : a), first)
  const limitPct = night.settings.limits.airDryPct.openBelow
  const underMs = points.filter((p) => p.mean < limitPct).length * night.bucketMs
  const at = nightClock(lowest.atMs, night.night, night.settings.site.timeZone)
  const under =
    underMs === 0
      ? `and it was not under ${limitPct} %RH for long`
      : `and was under ${limitPct} %RH for ${durationText(underMs)}`
  const never = lowest.min >= limitPct
  return [
    `${title}: humidity was lowest at ${at}, ${Math.round(lowest.min)} %RH, ${
      never ? `never under the limit of ${limitPct} %RH` : under
    }.`,
  ]
}

function machineLines(machine: Machine, { quarters, settings }: MeasuredNight): string[] {
  const noted = quarters.get(machine.id) ?? []
  if (noted.length === 0) return [`${machine.title}: nothing was noted of it in the night.`]
  const cleanings = noted.reduce((sum, q) => sum + q.cleanings, 0)
  const seen = cleanings === 0 ? 'No cleaning' : cleanings === 1 ? 'One cleaning' : `${cleanings} cleanings`
  const verb = cleanings > 1 ? 'were' : 'was'
  const inks = machine.heads
    .filter((h) => h.removedOn === undefined)
    .flatMap((h) => h.channelGroups)
    .flatMap(({ id, title, ink }) => {
      const doses = noted.flatMap((q) => q.inks.filter((i) => i.channelGroupId === id).map((i) => i.doseKpaH))
      if (doses.length === 0) return []
      return [{ title, pct: Math.round((Math.max(...doses) / settings.limits.doseKpaH[ink]) * 100) }]
    })
  const used = inks.map(({ title, pct }, i) =>
    i === 0 ? `${title} used at most ${pct} %` : `${title} ${pct} %`,
  )
  const doses = used.length > 0 ? ` of the drying limit ${listed(used)}.` : ''
  const cleaned = `${seen} ${verb} seen.`
  return [`${machine.title}:${doses} ${doses === '' ? cleaned.toLowerCase() : cleaned}`]
}

function listed(parts: readonly string[]): string {
  return parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1) ?? ''}`
}

function bottleLine(bottle: Settings['bottles'][number], night: MeasuredNight): string[] {
  const sensorId = sensorOf(night, `bottle:${bottle.id}`, 'mass')
  if (sensorId === undefined) return []
  const points = night.series.get(sensorId) ?? []
  const [first, last] = [points[0], points.at(-1)]
  if (!first || !last) return [`${bottle.title}: its fill in the night is not known.`]
  const [before, after] = [first.mean, last.last].map((kg) => Math.max(0, Math.round(fillPct(kg, bottle))))
  return [
    before === after
      ? `${bottle.title}: ${after} % full all night.`
      : `${bottle.title}: from ${before} % to ${after} % full.`,
  ]
}
