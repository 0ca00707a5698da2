import { learnedOf } from '../model/learned.ts'
import { vapourPressureDeficitKpa } from '../physics/air.ts'
import { usualIntervalH } from '../detect/not-cleaning.ts'
import { certainDoseKpaH } from '../track/certain-dose.ts'
import { ASSUMED_TEMPERATURE_C, doseKpaH, groupsOf } from '../track/drying.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import { deficitPathsKpa, doseAhead, type DoseAhead, type ExpectedWetting } from './dose-ahead.ts'
import { roomForecast, type RoomForecast } from './room-paths.ts'

const HOUR_MS = 3_600_000
/** Standard deviations of what a room's sensor errs as it comes: half of the tolerances of common digital ones (2 %RH, 0.4 K; common practice, no source). */
const HUMIDITY_ERROR_PCT = 1
const TEMPERATURE_ERROR_K = 0.2
const MOST_ERROR_SHARE = 0.5

/** Of a shop without hours, or closed for longer: so far is looked ahead. */
const FURTHEST_MS = 96 * HOUR_MS
const WITHOUT_HOURS_MS = 24 * HOUR_MS

export interface InkAhead {
  readonly groupId: string
  /** Is the dose it begins with certain? Else it is shown, and no condition rests on it. */
  readonly certain: boolean
  readonly dose: DoseAhead
}

export interface MachineNight {
  readonly madeMs: number
  readonly toMs: number
  readonly room: RoomForecast
  readonly inks: readonly InkAhead[]
}

/**
 * The coming night of a machine, from `atMs` to the next opening: the air of its room as whole paths, and each of its
 * inks along them. null while the air is not known.
 *
 * NIGHT-1 the exposure stays as it is: on its cap or off it.
 * NIGHT-2 a machine that is on and cleans itself at a usual interval is expected to go on doing so, one interval after
 *         the last time; one that is off, or whose cleaning has failed to come, is not.
 * NIGHT-3 while the shop is open the night is the next closed stretch, told as if nothing were printed until then.
 */
export function machineNight(
  facts: MachineFacts,
  context: SubjectContext,
  atMs: number,
): MachineNight | null {
  const { humidityPct } = facts
  if (humidityPct === null) return null
  const { settings, subject, learned, calendar } = context
  const roomId = settings.machines.find((m) => m.id === subject.id)?.room ?? ''
  const openingMs = calendar.nextOpeningAfter(atMs) ?? atMs + WITHOUT_HOURS_MS
  const toMs = Math.min(openingMs, atMs + FURTHEST_MS)
  const room = roomForecast({
    nights: learnedOf(learned, 'roomNights', roomId),
    air: { humidityPct, temperatureC: facts.temperatureC ?? ASSUMED_TEMPERATURE_C },
    fromMs: atMs,
    toMs,
    timeZone: calendar.timeZone,
  })
  const deficitsKpa = deficitPathsKpa(room)
  const errorShare = sensorErrorShare(humidityPct, facts.temperatureC ?? ASSUMED_TEMPERATURE_C)
  const { exposureFactor, doseKpaH: limits } = settings.limits
  const factor = facts.cap.state === 'capped' ? exposureFactor.capped : exposureFactor.uncapped
  const wettings = expectedWettings(facts, context, atMs, toMs)
  const inks = groupsOf(settings, subject.id).map(({ id, ink }): InkAhead => {
    const certain = certainDoseKpaH(facts, id, atMs)
    const dose = doseAhead({
      atMs: room.atMs,
      deficitsKpa,
      doseKpaH: certain ?? doseKpaH(facts.drying, id, atMs),
      limitKpaH: limits[ink],
      errorShare,
      exposure: [{ fromMs: atMs, factor }],
      wettings,
    })
    return { groupId: id, certain: certain !== null, dose }
  })
  return { madeMs: atMs, toMs, room, inks }
}

/** What the errors of the room's sensors do to the deficit, as a share of it. In nearly damp air there is none worth a share. */
function sensorErrorShare(humidityPct: number, temperatureC: number): number {
  const deficitKpa = vapourPressureDeficitKpa({ humidityPct, temperatureC })
  const drier = vapourPressureDeficitKpa({
    humidityPct: Math.max(0, humidityPct - HUMIDITY_ERROR_PCT),
    temperatureC,
  })
  const warmer = vapourPressureDeficitKpa({ humidityPct, temperatureC: temperatureC + TEMPERATURE_ERROR_K })
  if (deficitKpa <= 0) return 0
  return Math.min(MOST_ERROR_SHARE, Math.hypot(drier - deficitKpa, warmer - deficitKpa) / deficitKpa)
}

function expectedWettings(
  { power, workedMs, cleaningsVisible, assumedCleaningMs, cap }: MachineFacts,
  context: SubjectContext,
  fromMs: number,
  toMs: number,
): readonly ExpectedWetting[] {
  const hours = usualIntervalH(context)
  if (hours === null || power.state === 'off' || power.state === 'unknown' || cap.state !== 'capped')
    return []
  const everyMs = hours * HOUR_MS
  const firstMs = cleaningsVisible ? (workedMs ?? fromMs) + everyMs : (assumedCleaningMs ?? fromMs + everyMs)
  const overdue = fromMs - firstMs > everyMs * (context.settings.limits.notCleaningIntervals - 1)
  if (overdue) return []
  const wettings: ExpectedWetting[] = []
  for (let atMs = Math.max(firstMs, fromMs); atMs <= toMs; atMs += everyMs) wettings.push({ atMs, keeps: 0 })
  return wettings
}
