import type { NozzleCheck } from '../../services/core/study/clogs.ts'
import type { NightExposure } from '../../services/core/study/exposure.ts'
import { seededDraw, type Draw } from '../../services/core/statistics/random.ts'

/**
 * Invented shops for the hunt for causes: weather that persists and has seasons, clogs that last until they are
 * cleaned and like to come back, checks made by routine and on suspicion. All figures are invented.
 */
export interface ClogShop {
  readonly machines: number
  readonly days: number
  /** New clogs a night of a channel group at middling exposure. */
  readonly clogShare: number
  /** How many times as probable a clog is for each standard deviation of the weather towards dry; 1: nothing planted. */
  readonly dryFactor: number
  readonly seed: number
}

export interface ClogShopNights {
  readonly exposures: readonly NightExposure[]
  readonly checks: readonly NozzleCheck[]
}

const FIRST_DAY = 19_723 // 2024-01-01
const DAY_MS = 86_400_000
const INKS = ['colour', 'white'] as const
const PERSISTS = 0.85

export function simulateClogShop({ machines, days, clogShare, dryFactor, seed }: ClogShop): ClogShopNights {
  const draw = seededDraw(seed)
  const weather = weatherOf(days, draw)
  const exposures: NightExposure[] = []
  const checks: NozzleCheck[] = []
  for (let machine = 0; machine < machines; machine++) {
    const habits = { checkShare: 0.5 + 0.45 * draw(), worry: 0.6 * draw(), relapse: 1 + 3 * draw() }
    const nights = weather.map((dry, i) => nightOf(dry, { day: FIRST_DAY + i, machine, draw }))
    for (const ink of INKS) {
      const channelGroupId = `m${machine}-${ink}`
      const headId = `m${machine}-head`
      for (const night of nights) exposures.push({ ...night, headId, channelGroupId })
      const hazards = weather.map((dry) => Math.min(0.9, clogShare * dryFactor ** dry))
      checks.push(...checksOf({ channelGroupId, hazards, weather, habits, draw }))
    }
  }
  return { exposures, checks }
}

/** In standard deviations towards dry: a season, and what lasts for about a week. */
function weatherOf(days: number, draw: Draw): number[] {
  const phase = draw() * 365
  let spell = normal(draw)
  return Array.from({ length: days }, (_, i) => {
    spell = PERSISTS * spell + Math.sqrt(1 - PERSISTS ** 2) * normal(draw)
    return 0.7 * Math.SQRT2 * Math.sin((2 * Math.PI * (i + phase)) / 365) + 0.7 * spell
  })
}

interface NightPlace {
  readonly day: number
  readonly machine: number
  readonly draw: Draw
}

function nightOf(
  dry: number,
  { day, machine, draw }: NightPlace,
): Omit<NightExposure, 'headId' | 'channelGroupId'> {
  const humidityPct = 46 - 6 * dry + machine + 1.5 * normal(draw)
  const darkHours = draw() < 0.06 ? Math.round(80 * draw()) / 10 : 0
  const uncappedHours = draw() < 0.03 ? Math.round(30 * draw()) / 10 : 0
  const temperatureC = 21 + 1.5 * normal(draw)
  return {
    nightOf: dateOf(day),
    doseKpaH: Math.max(1, (100 - humidityPct) * 0.32 + 8 * uncappedHours + 0.5 * darkHours),
    minHumidityPct: humidityPct,
    hoursBelowPct: Math.min(13, Math.max(0, (42 - humidityPct) * 1.1)),
    darkHours,
    uncappedHours,
    cleaningsSeen: darkHours > 4 ? 0 : 1 + Math.floor(3 * draw()),
    minTemperatureC: temperatureC,
    actedUpon: draw() < 0.02,
    modelVersion: 'invented',
  }
}

interface Habits {
  /** Of mornings, by routine; on a dry morning somebody looks more often; clogs that were cleaned like to come back. */
  readonly checkShare: number
  readonly worry: number
  readonly relapse: number
}

interface Course {
  readonly channelGroupId: string
  readonly hazards: readonly number[]
  readonly weather: readonly number[]
  readonly habits: Habits
  readonly draw: Draw
}

/** Mornings of one channel group: it clogs, prints badly, somebody looks, cleans, and looks again. */
function checksOf({ channelGroupId, hazards, weather, habits, draw }: Course): NozzleCheck[] {
  const checks: NozzleCheck[] = []
  let [isClogged, weakNights] = [false, 0]
  hazards.forEach((hazard, i) => {
    if (draw() < hazard * (weakNights > 0 ? habits.relapse : 1)) isClogged = true
    weakNights = Math.max(0, weakNights - 1)
    const suspects = (isClogged && draw() < 0.5) || ((weather[i] ?? 0) > 0.8 && draw() < habits.worry)
    if (!suspects && draw() >= habits.checkShare) return
    const nightOf = dateOf(FIRST_DAY + i)
    const atMs = (FIRST_DAY + i + 1) * DAY_MS + 8 * 3_600_000
    const why = suspects ? 'suspicion' : 'routine'
    checks.push({
      channelGroupId,
      nightOf,
      atMs,
      missingNozzles: isClogged ? 1 + Math.floor(9 * draw()) : 0,
      why,
    })
    if (!isClogged) return
    isClogged = draw() > 0.6
    weakNights = 5
    checks.push({
      channelGroupId,
      nightOf,
      atMs: atMs + 1_800_000,
      missingNozzles: isClogged ? 2 : 0,
      why: 'suspicion',
    })
  })
  return checks
}

function dateOf(day: number): string {
  return new Date(day * DAY_MS).toISOString().slice(0, 10)
}

/** Box and Muller 1958. */
function normal(draw: Draw): number {
  return Math.sqrt(-2 * Math.log(1 - draw())) * Math.cos(2 * Math.PI * draw())
}
