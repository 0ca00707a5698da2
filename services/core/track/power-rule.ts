import { learnedOf, type LearnedValues } from '../model/learned.ts'
import type { PowerBands } from '../model/learned/power-bands.ts'
import type { Machine } from '../model/settings.ts'
import type { HeardBinding, SubjectContext } from './tracker.ts'

type Range = readonly [low: number, high: number]

/** What a meter's watts say by themselves; `between`: nothing that the machine is known to do. */
export type PowerLevel = 'standby' | 'cleaning' | 'printing' | 'between'

/** Where the bands come from; `startingValues`: there are none, and only on and off are told apart. */
export type BandsFrom = 'learned' | 'told' | 'startingValues'

export interface LevelBands {
  /** At rest the machine draws at most this, in W. */
  readonly standbyTopW: number
  /** At rest it usually draws about this: what a cleaning's power is measured from. */
  readonly standbyW: number
  readonly cleaningW: Range | null
  readonly printingW: Range | null
  /** Shortest and longest stretch in the cleaning band that is taken as a cleaning. */
  readonly cleaningMs: Range
  /** How long a cleaning usually takes: how often the meter must report follows from it. */
  readonly usualCleaningMs: number
}

export interface PowerRule {
  readonly offBelowW: number
  /** The meter that tells the levels apart: the first by id. null with a contact alone. */
  readonly meterId: string | null
  /** null: only on and off can be told. */
  readonly bands: LevelBands | null
  readonly bandsFrom: BandsFrom
}

const SECOND = 1000
/** A cleaning of a machine of which none was measured yet; starting values, no source. */
const TOLD_CLEANING_MS: Range = [90 * SECOND, 480 * SECOND]
const TOLD_USUAL_CLEANING_MS = 120 * SECOND
/** What is learned of a cleaning's length is taken this much wider; starting values. */
const SHORTER = 0.6
const LONGER = 1.6
/** A meter must report at least so often within a cleaning, or cleanings cannot be seen. */
const REPORTS_WITHIN_CLEANING = 3
/** A meter that reports three times within a cleaning knows its length to a tenth or so. */
const MEASURED_TO = 0.9

/**
 * The rule in force for a machine.
 *
 * POWER-RULE-1 learned bands count if they tell cleanings apart; else what the owner told; else learned bands without
 *              cleanings; else only on and off.
 * POWER-RULE-2 without a meter there are no bands.
 * POWER-RULE-3 what the owner corrected by hand (`insteadOfLearned`) holds before anything learned.
 */
export function powerRuleOf(
  machine: Pick<Machine, 'id' | 'offBelowW' | 'powerBandsW'>,
  learned: LearnedValues,
  sensors: ReadonlyMap<string, Pick<HeardBinding, 'id' | 'quantity'>>,
): PowerRule {
  const meterId = meterOf(sensors)
  const told = machine.powerBandsW
  const found = told?.insteadOfLearned ? undefined : learnedOf(learned, 'powerBands', machine.id)
  const offBelowW = found?.offBelowW ?? machine.offBelowW
  if (meterId === null) return { offBelowW, meterId, bands: null, bandsFrom: 'startingValues' }
  if (found && (found.cleaningW !== null || !told?.cleaning)) {
    return { offBelowW, meterId, bands: learnedBands(found), bandsFrom: 'learned' }
  }
  const bands = told ? toldBands(told, offBelowW) : null
  return { offBelowW, meterId, bands, bandsFrom: bands ? 'told' : 'startingValues' }
}

/** The meter whose watts tell what a machine does: the first by id. Others only say whether it is on. */
export function meterOf(sensors: ReadonlyMap<string, Pick<HeardBinding, 'id' | 'quantity'>>): string | null {
  let meterId: string | null = null
  for (const { id, quantity } of sensors.values()) {
    if (quantity === 'power' && (meterId === null || id < meterId)) meterId = id
  }
  return meterId
}

const rules = new WeakMap<SubjectContext, PowerRule>()

/** The rule of the machine that `context` is about; made once a context. */
export function powerRuleIn(context: SubjectContext): PowerRule {
  const known = rules.get(context)
  if (known) return known
  const { settings, learned, sensors, subject } = context
  const machine = settings.machines.find((m) => m.id === subject.id)
  const rule: PowerRule = machine
    ? powerRuleOf(machine, learned, sensors)
    : { offBelowW: 0, meterId: null, bands: null, bandsFrom: 'startingValues' }
  rules.set(context, rule)
  return rule
}

/** Can a meter that reports every `intervalMs` see this machine's cleanings? */
export function cleaningsVisible({ bands }: PowerRule, intervalMs: number): boolean {
  if (!bands?.cleaningW) return false
  return bands.usualCleaningMs >= REPORTS_WITHIN_CLEANING * intervalMs * MEASURED_TO
}

export function levelOf(powerW: number, { standbyTopW, cleaningW, printingW }: LevelBands): PowerLevel {
  if (powerW <= standbyTopW) return 'standby'
  if (cleaningW && powerW >= cleaningW[0] && powerW <= cleaningW[1]) return 'cleaning'
  if (printingW && powerW >= printingW[0] && powerW <= printingW[1]) return 'printing'
  return 'between'
}

function learnedBands({ standbyW, cleaningW, printingW, cleaningS }: PowerBands): LevelBands {
  return {
    standbyTopW: standbyW[1],
    standbyW: Math.sqrt(standbyW[0] * standbyW[1]),
    cleaningW,
    printingW,
    ...lengthsOf(cleaningS),
  }
}

/** What is below every told band is rest. With no band told at all, on is all that is known. */
function toldBands(
  { cleaning, printing, cleaningS }: NonNullable<Machine['powerBandsW']>,
  offBelowW: number,
): LevelBands | null {
  const lows = [cleaning, printing].flatMap((band) => (band ? [band[0]] : []))
  if (lows.length === 0) return null
  const standbyTopW = Math.max(offBelowW, Math.min(...lows) * (1 - Number.EPSILON))
  return {
    standbyTopW,
    standbyW: (offBelowW + standbyTopW) / 2,
    cleaningW: cleaning ?? null,
    printingW: printing ?? null,
    ...lengthsOf(cleaningS ?? null),
  }
}

/** How long cleanings take, told or learned, in s. */
function lengthsOf(cleaningS: Range | null): Pick<LevelBands, 'cleaningMs' | 'usualCleaningMs'> {
  if (!cleaningS) return { cleaningMs: TOLD_CLEANING_MS, usualCleaningMs: TOLD_USUAL_CLEANING_MS }
  const [shortestS, longestS] = cleaningS
  return {
    cleaningMs: [shortestS * SHORTER * SECOND, longestS * LONGER * SECOND],
    usualCleaningMs: ((shortestS + longestS) / 2) * SECOND,
  }
}
